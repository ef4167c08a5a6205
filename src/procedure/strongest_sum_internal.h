// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <string>
#include <vector>

namespace qn {

struct PlaneField {
  double x = 0.0, y = 0.0;
};

/// One device as it may be found: in one of its states, or off when it is optional.
struct PlaneDevice {
  std::string name;
  std::vector<PlaneField> states;  ///< at least one
  bool may_be_off = false;
};

struct StrongestSum {
  static constexpr std::size_t kOff = static_cast<std::size_t>(-1);
  double length = 0.0;
  std::vector<std::size_t> state;  ///< of each device: index, or kOff
};

/// The longest vector sum over every choice of states. Exact, O(n log n): the sum is longest along
/// some direction t in which every device takes the state that reaches furthest along t, and as t
/// turns full circle a device changes its choice only across the normals of differences of states.
StrongestSum strongest_sum(const std::vector<PlaneDevice>& devices);

/// The same length for many similar cases: from 8 directions, the best one followed until the
/// choice no longer changes. Never too long; too short only when two choices are nearly equal.
class StrongestSumNear {
 public:
  explicit StrongestSumNear(const std::vector<PlaneDevice>& devices);
  /// states  of all devices, one after the other: x and y of each
  double length(const std::vector<double>& states) const { return norm(sum(states)); }
  /// How the length grows with each number of `states`: the direction of the sum where chosen.
  std::vector<double> slope(const std::vector<double>& states) const;

 private:
  PlaneField sum(const std::vector<double>& states) const;
  template <class Chosen>
  void choose_along(const PlaneField& t, const std::vector<double>& states, Chosen chosen) const;
  PlaneField sum_along(const PlaneField& t, const std::vector<double>& states) const;
  static double norm(const PlaneField& v);

  struct Span {
    std::size_t begin, end;
    bool may_be_off;
  };
  std::vector<Span> spans_;
};

}  // namespace qn
