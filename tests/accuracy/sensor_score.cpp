// SPDX-License-Identifier: Apache-2.0
#include "accuracy/sensor_score.h"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <limits>

#include "accuracy/scores_of.h"
#include "accuracy/sensor_cases.h"

namespace qn::accuracy {
namespace {

using namespace simulate;

constexpr double kNone = std::numeric_limits<double>::quiet_NaN();
constexpr double kNormal95 = 1.959963984540054;
constexpr double kObserved =
    0.5;  // a matrix element counts as observed below this share of its prior
constexpr double kFixedHeading = 40.0;  // on the curve's 5-degree grid, on no axis of symmetry
constexpr const char* kAxis[3] = {"x", "y", "z"};

/// The answer in microtesla of the reading, whatever unit the recording had.
struct Answer {
  Correction correction;
  Vector3 offset_sd_uT{};
  Matrix3 matrix_sd{};
};

double variance_of(const FitCovariance& covariance, const std::string& name) {
  for (std::size_t i = 0; i < covariance.order.size(); ++i) {
    if (covariance.order[i] == name) return covariance.values[i][i];
  }
  return kNone;
}

Answer answer_of(const SensorCorrection& correction, double counts_per_uT) {
  Answer out;
  for (std::size_t i = 0; i < 3; ++i) {
    out.correction.offset_uT[i] = correction.offset_raw[i] / counts_per_uT;
    const std::string name = std::string{"offset_"} + kAxis[i] + "_raw";
    out.offset_sd_uT[i] = std::sqrt(variance_of(correction.covariance, name)) / counts_per_uT;
    for (std::size_t j = 0; j < 3; ++j) {
      out.correction.matrix[i][j] = correction.matrix[i][j] * counts_per_uT;
      const std::string element = "matrix_" + std::to_string(i + 1) + std::to_string(j + 1);
      out.matrix_sd[i][j] = std::sqrt(variance_of(correction.covariance, element)) * counts_per_uT;
    }
  }
  return out;
}

Reading normal_reading(std::string quantity, double estimate, double sd, double truth,
                       double bound) {
  return {std::move(quantity), truth, estimate - kNormal95 * sd, estimate + kNormal95 * sd,
          estimate - truth,    bound};
}

void add_parameters(const Answer& answer, const SensorBound& bound, Gauge gauge, CaseScore& out) {
  const GaugedTruth& truth = bound.truth();
  for (std::size_t i = 0; i < 3; ++i) {
    out.readings.push_back(normal_reading(std::string{"offset "} + kAxis[i] + ", µT",
                                          answer.correction.offset_uT[i], answer.offset_sd_uT[i],
                                          truth.sensor.hard_iron_uT[i], bound.offset_sd_uT()[i]));
    out.readings.back().carried = bound.offset_carried()[i];
  }
  const Matrix3 to_prior = bound.matrix_to_prior();
  for (std::size_t i = 0; i < 3; ++i) {
    for (std::size_t j = 0; j < 3; ++j) {
      const bool twin =
          i > j && (gauge == Gauge::symmetric || (gauge == Gauge::symmetric_horizontal && i == 1));
      if (twin || to_prior[i][j] > kObserved) continue;
      out.readings.push_back(normal_reading(std::string{"matrix "} + kAxis[i] + kAxis[j],
                                            answer.correction.matrix[i][j], answer.matrix_sd[i][j],
                                            truth.matrix[i][j], bound.matrix_sd()[i][j]));
      out.readings.back().carried = bound.matrix_carried()[i][j];
    }
  }
}

Reading band_reading(std::string quantity, const Band95& band, double truth) {
  return {std::move(quantity), truth, band.lo.in_deg(), band.hi.in_deg(), kNone, kNone, false};
}

/// Largest error over all headings at +-bank, +-pitch, the way a forecast counts it.
double worst_after(const SensorTruth& truth, const Correction& correction, double bank,
                   double pitch) {
  double worst = 0.0;
  for (const double b : {bank, -bank}) {
    for (const double p : {pitch, -pitch}) {
      worst = std::max(worst, worst_heading_error(truth, correction, p, b).size_deg);
    }
  }
  return worst;
}

void add_headings(const SensorFit& fit, const Answer& answer, const SensorBound& bound,
                  CaseScore& out) {
  const SensorTruth& truth = bound.truth().sensor;
  const Attitude level{kFixedHeading, 0.0, 0.0};
  for (const HeadingErrorPoint& point : fit.curve) {
    if (point.heading_deg != kFixedHeading) continue;
    const double after = heading_error_deg(truth, answer.correction, level);
    Reading left = band_reading("heading 040 after, degrees", point.after_95, after);
    left.error = after;  // the answer claims 0
    left.bound = bound.after_sd_deg(kFixedHeading);
    out.readings.push_back(left);
    const double before = heading_error_deg(truth, {}, level);
    // A band may run past +-180; the truth is taken on the side nearest to its middle.
    const double middle = 0.5 * (point.before_95.lo.in_deg() + point.before_95.hi.in_deg());
    const double beside = middle + std::remainder(before - middle, 360.0);
    Reading without = band_reading("heading 040 before, degrees", point.before_95, beside);
    without.error = std::remainder(point.before_deg - before, 360.0);
    without.bound = bound.before_sd_deg(kFixedHeading);
    out.readings.push_back(without);
  }
  out.readings.push_back(band_reading("worst before, degrees", fit.before.worst_95,
                                      worst_heading_error(truth, {}, 0.0, 0.0).size_deg));
  out.readings.push_back(band_reading("worst after, degrees", fit.after_worst_95,
                                      worst_after(truth, answer.correction, 0.0, 0.0)));
  for (const AttitudeForecast& forecast : fit.forecast) {
    if (forecast.bank_deg != 30.0 && forecast.pitch_deg != 15.0) continue;
    if (forecast.bank_deg == 0.0 || forecast.pitch_deg == 0.0) {
      char name[64];
      std::snprintf(name, sizeof name, "worst after, bank %.0f pitch %.0f", forecast.bank_deg,
                    forecast.pitch_deg);
      out.readings.push_back(band_reading(
          name, forecast.worst_95,
          worst_after(truth, answer.correction, forecast.bank_deg, forecast.pitch_deg)));
    }
  }
}

Result<SensorFit> fit_made(const SensorCase& drawn, const SimulatedRecording& made) {
  SensorFitOptions options = drawn.options;
  if (drawn.headings) options.stations = made.stations;
  return fit_sensor(made.recording, options, serial_for);
}

/// Why the answer cannot be scored, or nothing.
std::optional<std::string> trouble(const SensorCase& drawn, const Result<SensorFit>& fit) {
  if (!fit) return "refused: " + fit.error().what.substr(0, 60);
  if (!fit.value().correction) return std::string{"no correction was given"};
  // A hand-turned log with attitude columns is solved in their axes; whether these are called the
  // airframe's depends on how well the yaw came out, and both are scored alike.
  const bool either = !drawn.level && drawn.plan.truth.attitude.has_value();
  const FitFrame wanted = drawn.headings ? FitFrame::body : FitFrame::sensor;
  if (!either && fit.value().frame != wanted) {
    return std::string{"the answer is in the other axes"};
  }
  return std::nullopt;
}

/// How far did the outliers move the offset against the same case with nobody passing? In sigmas of
/// the answer that the user gets: a shift inside them is a shift that was owned up to.
std::optional<double> moved_sigmas(const SensorCase& drawn, const Answer& answer) {
  RecordingPlan clean = drawn.plan;
  clean.truth.steel = {};
  clean.truth.spikes = {};
  const auto fit = fit_made(drawn, make_recording(clean));
  if (!fit || !fit.value().correction) return std::nullopt;
  const Answer without =
      answer_of(*fit.value().correction, drawn.plan.truth.counts_per_uT.value_or(1.0));
  double most = 0.0;
  for (std::size_t i = 0; i < 3; ++i) {
    most =
        std::max(most, std::abs(answer.correction.offset_uT[i] - without.correction.offset_uT[i]) /
                           answer.offset_sd_uT[i]);
  }
  return most;
}

}  // namespace

CaseScore score_case(std::string_view table, std::uint64_t seed) {
  CaseScore out;
  const SensorCase drawn = draw_case(table, seed);
  const SimulatedRecording made = make_recording(drawn.plan);
  const auto fit = fit_made(drawn, made);
  out.refusal = trouble(drawn, fit);
  if (out.refusal) return out;
  BoundRequest request;
  request.made = &made;
  request.model = drawn.options.earth;
  request.gauge = drawn.gauge;
  request.level = drawn.level;
  request.headings_known = drawn.headings;
  const SensorBound bound{request};
  const Answer answer =
      answer_of(*fit.value().correction, drawn.plan.truth.counts_per_uT.value_or(1.0));
  add_parameters(answer, bound, drawn.gauge, out);
  add_headings(fit.value(), answer, bound, out);
  if (drawn.plan.truth.steel.share > 0.0) out.moved_sigmas = moved_sigmas(drawn, answer);
  return out;
}

CoverageTable run_sensor_table(std::string_view table, std::size_t cases, std::uint64_t first_seed,
                               const ParallelFor& parallel) {
  const auto scores = scores_of(cases, first_seed, parallel,
                                [&](std::uint64_t seed) { return score_case(table, seed); });
  CoverageTable out;
  std::size_t moved = 0;
  std::size_t compared = 0;
  for (const CaseScore& score : scores) {
    if (score.refusal) out.add_refusal(*score.refusal);
    for (const Reading& reading : score.readings) out.add(reading);
    if (score.moved_sigmas) {
      ++compared;
      moved += *score.moved_sigmas > 1.0 ? 1U : 0U;
    }
  }
  if (compared > 0) {
    // Leaving out a tenth of the samples, and what stood out beside them, moves the answer by
    // itself, most where directions go with them: the variance of that shift is the variance
    // gained. Where it grows by half, the largest of three components passes one sigma in one case
    // of four.
    const double share = static_cast<double>(moved) / static_cast<double>(compared);
    char sentence[160];
    std::snprintf(sentence, sizeof sentence,
                  "An offset component moved by more than one sigma against the same case without "
                  "outliers in %.1f %% of %zu cases (allowed: 10 %%).",
                  100.0 * share, compared);
    out.add_check(sentence, share <= 0.10);
  }
  const double refused = static_cast<double>(out.refusals()) / static_cast<double>(cases);
  char sentence[120];
  std::snprintf(sentence, sizeof sentence,
                "Cases without an answer are %.1f %% of all (allowed: 2 %%).", 100.0 * refused);
  out.add_check(sentence, refused <= 0.02);
  return out;
}

}  // namespace qn::accuracy
