// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "accuracy/coverage_table.h"
#include "accuracy/run_coverage.h"
#include "vocab/parallel.h"

namespace qn::accuracy {

/// So many out of so many.
struct Count {
  std::size_t hits = 0, of = 0;
  void add(bool hit) {
    hits += hit ? 1U : 0U;
    ++of;
  }
  Count& operator+=(const Count& other) {
    hits += other.hits;
    of += other.of;
    return *this;
  }
  double share() const { return of > 0 ? static_cast<double>(hits) / static_cast<double>(of) : 0; }
};

struct DisturbanceCounts {
  Count worst_first;       ///< of runs whose worst device exceeds the second by 3 sigma
  Count zero_over;         ///< states without any effect called over
  Count zero_above_zero;   ///< whose lower end is above zero
  Count over_as_within;    ///< states over 1.3 limits called within
  Count unproven;          ///< clear states with sound marks called unproven; may not move
  Count unproven_moving;   ///< the same of gear, flaps and engine, whose tilt nobody logged
  Count contested;         ///< states whose repeats are said to disagree
  Count contested_sound;   ///< the same where all marks are sound
  Count without_size;      ///< contested, or a band from 0 to 180 degrees: out of the rms error
  Count never_worked;      ///< states that no visit shows: not scored
  Count all_on_disagrees;  ///< runs without interaction where the sum is said not to agree

  DisturbanceCounts& operator+=(const DisturbanceCounts& other);
};

/// Squares of errors and of what the bound allows when the moments have to be found as well.
struct FindingRatio {
  double errors = 0.0, bounds = 0.0, known = 0.0;
  void add(double error, double bound, double known_bound);
  FindingRatio& operator+=(const FindingRatio& other);
};

/// For people who look into one run.
struct Miss {
  std::string kind;
  double z = 0.0;  ///< how bad: misses of a kind are sorted by it
  std::string text;
};

struct DisturbanceScore {
  std::vector<Reading> readings;
  DisturbanceCounts counts;
  std::vector<Miss> misses;
  FindingRatio finding;  ///< of all sized states that cannot move the airframe, all axes
  std::optional<std::string> refusal;
};

DisturbanceScore score_disturbance(std::string_view table, std::uint64_t seed);

/// Seeds first_seed, first_seed + 1, ... The result does not depend on the width of `parallel`.
/// misses  when given, receives what was missed, by kind, worst first
RunCoverage run_disturbance_table(std::string_view table, std::size_t runs,
                                  std::uint64_t first_seed, const ParallelFor& parallel,
                                  std::vector<Miss>* misses);

}  // namespace qn::accuracy
