// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <array>
#include <cmath>

#include "estimation/normal_equations.h"
#include "procedure/run_steps_internal.h"
#include "procedure/run_swing.h"
#include "procedure/run_swing_internal.h"
#include "procedure/swing_compass_internal.h"
#include "vocab/heading.h"

namespace qn::run {
namespace {

constexpr std::size_t kAsked = 3;  // so often one compass is read on one visit at the most

// A second look costs seconds, a misreading the swing: asked for when the reading is so many
// standard deviations from what the others foretell.
constexpr double kSurprising = 2.5;

// A to E of most compasses, 1 sigma: wider than a compass that may be used at all (10 degrees,
// 14 CFR 23.1327), as it has not been adjusted yet. For the second look alone, never for a band.
constexpr std::array<double, 5> kMost_deg = {3.0, 8.0, 8.0, 2.0, 2.0};

const SwingCompass* solved_for(const SwingSolution& solution, const Read& read) {
  for (const SwingCompass& compass : solution.compasses) {
    if (compass.name == read.device && compass.loads == read.loads) return &compass;
  }
  return nullptr;
}

std::vector<SwingReading> others_of(const SwingReading& reading,
                                    std::vector<SwingReading> readings) {
  std::erase_if(readings, [&](const SwingReading& r) {
    return r.row == reading.row || r.compass != reading.compass || r.loads != reading.loads;
  });
  return readings;
}

/// The variance of what is not the curve: scatter, rounding, and the lag in a turn not made before.
double variance_beside(const SwingReading& reading, const std::vector<SwingReading>& others,
                       const SwingSettings& settings, double noise_deg) {
  double variance = noise_deg * noise_deg + std::pow(settings.prior.rounding_deg, 2) / 12.0;
  const bool other_turn = std::none_of(
      others.begin(), others.end(), [&](const SwingReading& r) { return r.turn == reading.turn; });
  if (other_turn) variance += std::pow(settings.hysteresis_sigma_deg, 2);
  return variance;
}

/// The same when it is far from what a compass as most are would show after those readings: the
/// only help while a curve could still follow any number.
std::optional<double> unlike_most(const SwingReading& reading,
                                  const std::vector<SwingReading>& others,
                                  const SwingSettings& settings) {
  const auto row_of = [](const SwingReading& r) {
    const DeviationCurve any{DeviationForm::series, {}};
    const SwingCoefficients ways = any.at(r.indicated_deg).per_coefficient;
    return std::vector<double>(ways.begin(), ways.end());
  };
  const double noise = settings.prior.sigma(0.0);
  const double scatter = std::hypot(noise, settings.prior.rounding_deg / std::sqrt(12.0));
  NormalEquations equations{5};
  for (const SwingReading& r : others) {
    equations.add_row(row_of(r), -wrap_180_deg(r.station_deg - r.indicated_deg), scatter);
  }
  for (std::size_t j = 0; j < 5; ++j) {
    equations.information(j, j) += 1.0 / (kMost_deg[j] * kMost_deg[j]);
  }
  const auto coefficients = solve_step(equations, 0.0);
  // Where it should stand on the curve, and not where a wrong number stands.
  DeviationCurve curve{DeviationForm::series, {}};
  std::copy(coefficients.begin(), coefficients.end(), curve.coefficients_deg.begin());
  SwingReading foretold = reading;
  foretold.indicated_deg =
      wrap_360_deg(indicated_on(curve, reading.station_deg, reading.station_deg));
  const double variance = propagate(row_of(foretold), 1, inverse(equations.information))(0, 0) +
                          variance_beside(reading, others, settings, noise);
  const double off = wrap_180_deg(reading.indicated_deg - foretold.indicated_deg);
  if (std::fabs(off) < kSurprising * std::sqrt(variance)) return std::nullopt;
  return foretold.indicated_deg;
}

/// What the other readings of its compass foretell for it, when it is far from that.
std::optional<double> foretold_otherwise(const SwingReading& reading,
                                         const std::vector<SwingReading>& others,
                                         const SwingOptions& options) {
  const auto solved = solve_swing(others, options_for(options, others));
  if (!solved || !solved.value().compasses.front().solved) return std::nullopt;
  const SwingCompass& c = solved.value().compasses.front();
  const SwingSettings settings = settings_of(options);
  const auto curve = c.curve.at(reading.indicated_deg);
  double variance = 0.0;
  for (std::size_t i = 0; i < 5; ++i) {
    for (std::size_t j = 0; j < 5; ++j) {
      variance += curve.per_coefficient[i] * c.covariance_deg2[i][j] * curve.per_coefficient[j];
    }
  }
  // An error of north is in this reading as in the others.
  variance -= settings.north_sigma_deg * settings.north_sigma_deg;
  const double noise = std::max(settings.prior.sigma(curve.slope), c.noise_deg);
  variance += variance_beside(reading, others, settings, noise);
  const double off =
      wrap_180_deg(reading.station_deg - reading.indicated_deg - curve.deviation_deg);
  if (std::fabs(off) < kSurprising * std::sqrt(variance)) return std::nullopt;
  return wrap_360_deg(indicated_on(c.curve, reading.station_deg, reading.station_deg));
}

const DoubtfulReading* doubt_about(const SwingCompass& compass, std::size_t row) {
  for (const auto* list : {&compass.gross, &compass.suspects}) {
    for (const DoubtfulReading& doubtful : *list) {
      if (doubtful.row == row) return &doubtful;
    }
  }
  return nullptr;
}

std::size_t times_read(const State& s, const Read& read) {
  return static_cast<std::size_t>(
      std::count_if(s.reads.begin(), s.reads.end(), [&](const Read& other) {
        return other.todo == read.todo && other.device == read.device && other.loads == read.loads;
      }));
}

}  // namespace

std::optional<Event> doubt_of(const State& s, const SwingSolution& solution,
                              const std::vector<SwingReading>& readings,
                              const SwingOptions& options) {
  if (!s.leaving_read || s.reads.empty() || readings.empty()) return std::nullopt;
  const Read& read = s.reads.back();
  if (read.todo != s.at || read.confirmed || read.doubted || times_read(s, read) >= kAsked) {
    return std::nullopt;
  }
  const auto reads = kept_reads(s);
  const auto found = std::find(reads.begin(), reads.end(), &read);
  if (found == reads.end()) return std::nullopt;
  const SwingReading& reading = readings[static_cast<std::size_t>(found - reads.begin())];
  const SwingCompass* compass = solved_for(solution, read);
  if (compass == nullptr) return std::nullopt;
  const std::vector<SwingReading> others = others_of(reading, readings);
  std::optional<double> expected_deg = unlike_most(reading, others, settings_of(options));
  if (auto foretold = foretold_otherwise(reading, others, options)) expected_deg = foretold;
  if (const DoubtfulReading* doubtful = doubt_about(*compass, reading.row)) {
    expected_deg = doubtful->expected_deg;
  }
  if (!expected_deg) return std::nullopt;
  Event event = said(EventKind::doubt, s.now_s);
  event.device = read.device;
  event.state = read_name(read.step, read.state, read.loads);
  event.number = std::round(*expected_deg);
  return event;
}

}  // namespace qn::run
