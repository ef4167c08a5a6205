// SPDX-License-Identifier: Apache-2.0
#include "accuracy/swing_coarse_score.h"

#include <array>
#include <cmath>
#include <cstdio>
#include <limits>
#include <map>
#include <vector>

#include "accuracy/scores_of.h"
#include "accuracy/swing_posterior_mean.h"

namespace qn::accuracy {
namespace {

constexpr double kNone = std::numeric_limits<double>::quiet_NaN();
constexpr double kLargestRatio = 1.08;

struct CoarseScore {
  double rounding_deg = 0.0, effective = 0.0;
  std::array<double, 5> ours{}, reference{};  ///< errors of A to E
  std::vector<Reading> readings;
  bool worst_held = false;
};

CoarseScore score_case(std::uint64_t seed) {
  const SwingTrial trial = make_swing_trial("swing-coarse", seed);
  SwingOptions options;
  options.rounding_deg = trial.rounding_deg;
  const auto solved = solve_swing(trial.readings, options);
  const SwingCompass& found = solved.value().compasses[0];
  const PosteriorMean reference = swing_posterior_mean(trial, found, seed);
  CoarseScore out;
  out.rounding_deg = trial.rounding_deg;
  out.effective = reference.effective;
  const auto& truth = trial.truths[0].truth;
  for (std::size_t j = 0; j < 5; ++j) {
    out.ours[j] = found.curve.coefficients_deg[j] - truth[j];
    out.reference[j] = reference.mean_deg[j] - truth[j];
    const auto [lo, hi] = found.band_95_deg[j];
    out.readings.push_back({std::string{"coefficient "} + "ABCDE"[j] + ", degrees", truth[j], lo,
                            hi, out.ours[j], kNone});
  }
  const double worst = trial.truths[0].worst();
  out.worst_held = found.worst_95_deg.first <= worst && worst <= found.worst_95_deg.second;
  return out;
}

/// Squared errors of both, and of how many.
struct Squares {
  double ours = 0.0, reference = 0.0;
  std::size_t cases = 0;
  void add(double mine, double other) {
    ours += mine * mine;
    reference += other * other;
    ++cases;
  }
  double ratio() const { return std::sqrt(ours / reference); }
};

}  // namespace

std::string how_coarse_drawn() {
  return "As swing-clean, rounded to 2 or 5 degrees, with noise (of reading and place together) "
         "below half the step. Beside the estimate the mean of A to E under the same interval "
         "model "
         "(tests/accuracy/swing_posterior_mean.h: importance sampling, likelihood and geometry of "
         "its own).";
}

CoverageTable run_coarse_table(std::size_t cases, std::uint64_t first_seed,
                               const ParallelFor& parallel) {
  const auto scores = scores_of(cases, first_seed, parallel, score_case);
  CoverageTable out;
  std::map<std::string, Squares> squares;
  std::size_t held = 0, few = 0;
  for (const CoarseScore& score : scores) {
    char step[40];
    std::snprintf(step, sizeof step, "rounding %g", score.rounding_deg);
    for (const Reading& reading : score.readings) out.add(reading);
    held += score.worst_held ? 1 : 0;
    if (score.effective < kEnoughDraws) {
      ++few;
      continue;
    }
    for (std::size_t j = 0; j < 5; ++j) {
      const std::string name = std::string{"coefficient "} + "ABCDE"[j];
      squares[name].add(score.ours[j], score.reference[j]);
      // A holds the error of north, which nobody can estimate: it would hide the rest.
      if (j > 0) squares[std::string{"B to E, "} + step].add(score.ours[j], score.reference[j]);
    }
  }
  for (const auto& [name, s] : squares) {
    char text[160];
    std::snprintf(text, sizeof text,
                  "Error over that of the posterior mean, %s (allowed: %.2f): %.3f, of %zu.",
                  name.c_str(), kLargestRatio, s.ratio(), s.cases);
    out.add_check(text, s.ratio() <= kLargestRatio);
  }
  const double share = static_cast<double>(held) / static_cast<double>(cases);
  char text[160];
  std::snprintf(text, sizeof text,
                "Band of the largest deviation holds (no limit set, see swing-clean): %zu of %zu, "
                "%.1f %%.",
                held, cases, 100.0 * share);
  out.add_check(text, true);
  std::snprintf(
      text, sizeof text,
      "Swings left out of the ratios, their reference rests on fewer than %.0f draws (allowed: "
      "1 %%): %zu of %zu.",
      kEnoughDraws, few, cases);
  out.add_check(text, static_cast<double>(few) <= 0.01 * static_cast<double>(cases));
  return out;
}

}  // namespace qn::accuracy
