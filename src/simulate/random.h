// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>

#include "vocab/field_vector.h"

namespace qn::simulate {

/// One step of SplitMix64; `state` is advanced. Used to spread seeds.
std::uint64_t split_mix(std::uint64_t& state);

/// A generator whose numbers are the same on every machine and compiler: a seed printed in a table
/// must give the same case years later. The standard library's distributions do not promise that.
class Random {
 public:
  /// seed     the case
  /// stream   one source of chance within the case (noise, path, ...), so that switching one of
  ///          them off leaves the numbers of the others as they were
  explicit Random(std::uint64_t seed, std::uint64_t stream = 0);
  /// The bare generator, xoshiro256**, from its own four words (not all zero).
  explicit Random(const std::array<std::uint64_t, 4>& state) : state_{state} {}

  std::uint64_t next();
  double uniform();                      ///< [0, 1), 53 bits
  double uniform(double lo, double hi);  ///< [lo, hi)
  double normal();                       ///< mean 0, standard deviation 1; polar method
  std::size_t below(std::size_t count);  ///< 0 .. count - 1
  Vector3 direction();                   ///< unit vector, evenly over the sphere

 private:
  std::array<std::uint64_t, 4> state_;
  double spare_ = 0.0;
  bool has_spare_ = false;
};

}  // namespace qn::simulate
