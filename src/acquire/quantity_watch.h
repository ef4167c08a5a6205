// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <vector>

namespace qn {

/// The upper of the middle two when there is an even number of them; 0 of none.
double median_of(std::vector<double> values);

/// The recent past of one number that a source repeats: how noisy it is, whether it still lives.
class QuantityWatch {
 public:
  /// circular  degrees of a heading: differences are taken the shortest way round
  explicit QuantityWatch(bool circular = false) : circular_{circular} {}

  void add(double time_s, double value);

  bool any() const { return !values_.empty(); }
  double last() const { return values_.empty() ? 0.0 : values_[newest()]; }
  double median() const;
  /// 1 sigma of one reading, from differences of neighbours: blind to slow changes, so it is right
  /// while the aircraft stands and near enough while it moves slowly. 0 before eight readings.
  double noise() const;
  /// For how long the very same number has come, over how many readings.
  double same_for_s() const { return same_until_s_ - same_since_s_; }
  std::size_t same_readings() const { return same_readings_; }
  /// Every other reading is near its second next and far from its next: two sensors take turns.
  bool takes_turns() const;

 private:
  static constexpr std::size_t kKept = 256;
  std::size_t newest() const { return (next_ + values_.size() - 1) % values_.size(); }
  std::vector<double> in_order() const;
  std::vector<double> steps(std::size_t apart) const;

  bool circular_;
  std::vector<double> values_;  // a ring of kKept
  std::size_t next_ = 0;
  double same_since_s_ = 0.0;
  double same_until_s_ = 0.0;
  std::size_t same_readings_ = 0;
};

}  // namespace qn
