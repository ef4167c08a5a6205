// SPDX-License-Identifier: Apache-2.0
#include "simulate/random.h"

#include <bit>
#include <cmath>
#include <numbers>

#include "vocab/expects.h"

namespace qn::simulate {

std::uint64_t split_mix(std::uint64_t& state) {
  state += 0x9e3779b97f4a7c15U;
  std::uint64_t z = state;
  z = (z ^ (z >> 30U)) * 0xbf58476d1ce4e5b9U;
  z = (z ^ (z >> 27U)) * 0x94d049bb133111ebU;
  return z ^ (z >> 31U);
}

Random::Random(std::uint64_t seed, std::uint64_t stream) : state_{} {
  std::uint64_t s = seed;
  const std::uint64_t mixed = split_mix(s);
  s = mixed ^ (stream * 0xd1342543de82ef95U);
  for (auto& word : state_) word = split_mix(s);
}

std::uint64_t Random::next() {
  const std::uint64_t result = std::rotl(state_[1] * 5U, 7) * 9U;
  const std::uint64_t t = state_[1] << 17U;
  state_[2] ^= state_[0];
  state_[3] ^= state_[1];
  state_[1] ^= state_[2];
  state_[0] ^= state_[3];
  state_[2] ^= t;
  state_[3] = std::rotl(state_[3], 45);
  return result;
}

double Random::uniform() { return static_cast<double>(next() >> 11U) * 0x1.0p-53; }

double Random::uniform(double lo, double hi) { return lo + (hi - lo) * uniform(); }

double Random::normal() {
  if (has_spare_) {
    has_spare_ = false;
    return spare_;
  }
  double u = 0.0;
  double v = 0.0;
  double s = 0.0;
  do {
    u = uniform(-1.0, 1.0);
    v = uniform(-1.0, 1.0);
    s = u * u + v * v;
  } while (s >= 1.0 || s == 0.0);
  const double scale = std::sqrt(-2.0 * std::log(s) / s);
  spare_ = v * scale;
  has_spare_ = true;
  return u * scale;
}

std::size_t Random::below(std::size_t count) {
  QN_EXPECTS(count > 0);
  return static_cast<std::size_t>(uniform() * static_cast<double>(count));
}

Vector3 Random::direction() {
  const double z = uniform(-1.0, 1.0);
  const double azimuth = uniform(0.0, 2.0 * std::numbers::pi);
  const double r = std::sqrt(1.0 - z * z);
  return {r * std::cos(azimuth), r * std::sin(azimuth), z};
}

}  // namespace qn::simulate
