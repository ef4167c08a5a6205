// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <numbers>
#include <string>
#include <utility>
#include <vector>

#include "procedure/sensor_fit.h"

// Made-up answers of a sensor fit, for tests of what shows or stores one. Nothing here was computed
// from a recording; the figures only hang together as a person would expect.
namespace qn::samples {

/// A fixed sequence of roughly normal numbers with sigma 1.
class Wobble {
 public:
  double next() {
    double sum = 0.0;
    for (int i = 0; i < 12; ++i) {
      state_ = state_ * 6364136223846793005ULL + 1442695040888963407ULL;
      sum += static_cast<double>(state_ >> 11U) / 9007199254740992.0;
    }
    return sum - 6.0;
  }

 private:
  std::uint64_t state_ = 20260514;
};

inline Band95 band(double lo_deg, double hi_deg) {
  return {Angle::degrees(lo_deg), Angle::degrees(hi_deg)};
}

inline LocalField middle_latitude() {
  LocalField earth;
  earth.horizontal_uT = 19.52;
  earth.down_uT = 44.87;
  earth.sigma_horizontal_uT = 0.13;
  earth.sigma_down_uT = 0.16;
  earth.source = "WMM2025, 2026-05-14";
  return earth;
}

/// A, B, C, D, E of the error before, in degrees, and the half-width of the band after.
struct CurveShape {
  std::array<double, 5> before_deg;
  double before_half_deg, after_half_deg;
};

inline void set_curve(SensorFit& fit, const CurveShape& shape) {
  fit.curve.clear();
  double worst = 0.0, at = 0.0;
  for (int heading = 0; heading < 360; heading += 5) {
    const double h = heading * std::numbers::pi / 180.0;
    const auto& [a, b, c, d, e] = shape.before_deg;
    const double before =
        a + b * std::sin(h) + c * std::cos(h) + d * std::sin(2.0 * h) + e * std::cos(2.0 * h);
    const double half = shape.after_half_deg * (0.8 + 0.2 * std::cos(h - 0.6));
    const double middle = 0.12 * shape.after_half_deg * std::sin(h + 1.0);
    fit.curve.push_back({static_cast<double>(heading), before,
                         band(before - shape.before_half_deg, before + shape.before_half_deg),
                         band(middle - half, middle + half)});
    if (std::fabs(before) > worst) {
      worst = std::fabs(before);
      at = heading;
    }
  }
  fit.before = {Angle::degrees(worst), at,
                band(worst - shape.before_half_deg, worst + shape.before_half_deg)};
  fit.after_worst_95 = band(0.15 * shape.after_half_deg, 1.05 * shape.after_half_deg);
}

inline void set_forecast(SensorFit& fit, double level_hi_deg, double per_bank_deg) {
  fit.forecast.clear();
  for (const double bank : {-30.0, -15.0, 0.0, 15.0, 30.0}) {
    for (const double pitch : {-15.0, 0.0, 15.0}) {
      const double tilt = std::hypot(bank, 1.4 * pitch);
      fit.forecast.push_back(
          {bank, pitch, band(0.2 * level_hi_deg, level_hi_deg + per_bank_deg * tilt)});
    }
  }
}

/// Residuals over `duration_s`, with a burst that was left out between the two times.
struct Disturbance {
  double from_s, to_s, size_uT;
};
inline void set_residuals(SensorFit& fit, const std::vector<Disturbance>& bursts) {
  Wobble wobble;
  fit.residuals.clear();
  constexpr std::size_t kPoints = 1200;
  for (std::size_t i = 0; i < kPoints; ++i) {
    const double t = fit.duration_s * static_cast<double>(i) / static_cast<double>(kPoints - 1);
    ResidualPoint point{t, fit.noise.sigma_uT * wobble.next(), true};
    for (const Disturbance& burst : bursts) {
      if (t < burst.from_s || t > burst.to_s) continue;
      const double along = (t - burst.from_s) / (burst.to_s - burst.from_s);
      point.residual_uT += burst.size_uT * std::sin(std::numbers::pi * along);
      point.used = false;
    }
    fit.residuals.push_back(point);
  }
}

inline void set_level_coverage(SensorFit& fit) {
  fit.coverage = {};
  for (std::size_t column = 0; column < DirectionCoverage::kColumns; ++column) {
    fit.coverage.counts[11 * DirectionCoverage::kColumns + column] = 240 + 37 * (column % 5);
    if (column % 3 == 0) fit.coverage.counts[10 * DirectionCoverage::kColumns + column] = 4;
  }
  fit.coverage.filled_fraction = 32.0 / 288.0;
  fit.coverage.heading_arc_deg = 359.1;
}

/// A tumble that never pointed near one direction.
inline void set_tumble_coverage(SensorFit& fit, double missing_azimuth_deg, double missing_reach) {
  fit.coverage = {};
  std::size_t filled = 0;
  Wobble wobble;
  for (std::size_t row = 0; row < DirectionCoverage::kRows; ++row) {
    for (std::size_t column = 0; column < DirectionCoverage::kColumns; ++column) {
      const double azimuth = 15.0 * (static_cast<double>(column) + 0.5) - missing_azimuth_deg;
      const double z = (static_cast<double>(row) + 0.5) / 6.0 - 1.0;
      const double along = std::sqrt(1.0 - z * z) * std::cos(azimuth * std::numbers::pi / 180.0);
      if (0.8 * along - 0.6 * z > missing_reach) continue;
      const double many = std::exp(2.6 + 1.1 * wobble.next());
      const auto count = static_cast<std::size_t>(many);
      fit.coverage.counts[row * DirectionCoverage::kColumns + column] = count;
      if (count > 0) ++filled;
    }
  }
  fit.coverage.filled_fraction = static_cast<double>(filled) / 288.0;
  fit.coverage.heading_arc_deg = 360.0;
}

inline void set_correction(SensorFit& fit, double scale) {
  SensorCorrection c;
  const Matrix3 shape{
      {{1.0214, -0.0131, 0.0048}, {-0.0131, 0.9873, -0.0092}, {0.0048, -0.0092, 1.0046}}};
  for (std::size_t i = 0; i < 3; ++i) {
    for (std::size_t k = 0; k < 3; ++k) c.matrix[i][k] = scale * shape[i][k];
  }
  c.offset_uT = {2.318, -1.042, 3.77};
  for (std::size_t i = 0; i < 3; ++i) c.offset_raw[i] = c.offset_uT[i] / scale;
  c.offset_sigma_uT = {0.021, 0.024, 0.31};
  c.covariance.order = {"matrix_11", "offset_x_raw"};
  c.covariance.values = {{1e-6, 1e-8}, {1e-8, 4.4e-4}};
  fit.correction = c;
  fit.noise = {.sigma_uT = 0.183, .correlation_time_s = 0.42, .band_inflation = 1.06};
  fit.condition = 38.0;
}

/// A swing over twelve stations that ends under the limit.
inline SensorFit within_swing() {
  SensorFit fit;
  fit.motion = Motion::stations;
  fit.frame = FitFrame::body;
  fit.earth = middle_latitude();
  fit.duration_s = 642.0;
  fit.samples = {.used = 31480, .rejected = 612, .repaired = 3};
  set_correction(fit, 1.0);
  set_curve(fit, {{-0.6, 3.4, -1.9, 0.7, 0.3}, 0.35, 0.72});
  set_forecast(fit, 0.76, 0.06);
  set_residuals(fit, {{214.0, 226.0, 4.8}});
  set_level_coverage(fit);
  for (int station = 0; station < 360; station += 30) {
    const double residual = 0.28 * std::sin(1.7 * station);
    fit.stations.push_back(
        {static_cast<double>(station), 20.0 + station, 45.0 + station, residual});
  }
  fit.unobserved = {{"ground slope",
                     "0.5° either way, 1 sigma, is in every band: up to 1.1° of one constant sign"},
                    {"vertical offset", "nothing level; up to 2.6° at 30° of bank"}};
  fit.assumptions = {
      "The ground slopes by 0.5° (1 sigma) toward north and toward east: this program’s own "
      "assumption.",
      "The aircraft stood within 0.5° (1 sigma) of each mark."};
  fit.notes = {
      "Station 210 was visited twice; both visits were used.",
      "612 samples from 03:34 to 03:46 did not fit and were left out: like steel carried past.",
      "Three empty cells were left out by the reader."};
  fit.sentence =
      "Corrected, the heading is right to 0.8° on every heading in level flight; without the "
      "correction it is wrong by up to 5.6°.";
  fit.verdict = {
      .state = VerdictState::within,
      .limit = Limit{Angle::degrees(1.0), "starting limit of this program, not a published one"},
      .because =
          "The largest error left lies between 0.1° and 0.8° with 95 % certainty, against a limit "
          "of 1.0°.",
      .do_next = "Put the correction into the instrument, then check one heading on the rose."};
  return fit;
}

/// A tumble tied to the airframe whose error stays over the limit; very large before.
inline SensorFit over_tumble() {
  SensorFit fit = within_swing();
  fit.motion = Motion::tumble;
  fit.duration_s = 96.0;
  fit.raw_unit = FieldUnit::counts;
  fit.samples = {.used = 4702, .rejected = 71, .repaired = 0};
  set_correction(fit, 0.14286);
  fit.condition = 4210.0;
  fit.noise = {.sigma_uT = 0.61, .correlation_time_s = 0.0, .band_inflation = 1.0};
  set_curve(fit, {{4.0, 31.0, -24.0, 2.0, 1.0}, 1.9, 2.4});
  fit.after_worst_95 = band(1.6, 3.4);
  set_forecast(fit, 3.4, 0.09);
  set_residuals(fit, {{30.0, 33.0, -14.0}, {61.0, 61.4, 3.0}});
  set_tumble_coverage(fit, 120.0, 0.45);
  fit.stations.clear();
  fit.unobserved = {{"roll angle of the sensor", "up to its own size times 2.3, once in a turn"}};
  fit.assumptions = {"The known heading is right to 0.3° (1 sigma)."};
  fit.notes = {
      "The field jumps by 2.1 µT at 00:30 and comes back: like a tool put down and taken away."};
  fit.sentence =
      "Even corrected, the heading is wrong by 1.6° to 3.4° near 215 magnetic. Move the sensor "
      "away from iron and record again.";
  fit.verdict.state = VerdictState::over;
  fit.verdict.because =
      "The largest error left lies between 1.6° and 3.4° with 95 % certainty, over the limit of "
      "1.0°.";
  fit.verdict.do_next =
      "Find the iron within 0.5 m of the sensor, move one of the two, and record again.";
  return fit;
}

/// A tumble in the hand: good in the sensor's own axes, so nothing is proven for the airframe.
inline SensorFit unproven_sensor_tumble() {
  SensorFit fit = over_tumble();
  fit.frame = FitFrame::sensor;
  set_curve(fit, {{0.0, 11.2, 5.1, 0.9, -0.4}, 0.5, 0.62});
  set_forecast(fit, 0.66, 0.01);
  set_residuals(fit, {});
  set_tumble_coverage(fit, 40.0, 0.9);
  fit.samples = {.used = 4773, .rejected = 0, .repaired = 0};
  fit.condition = 21.0;
  fit.unobserved = {
      {"yaw angle of the sensor", "adds one constant error, as large as the angle itself"},
      {"roll angle of the sensor", "adds up to the angle times 2.3, once in a turn"},
      {"pitch angle of the sensor", "adds up to the angle times 2.3, once in a turn"}};
  fit.assumptions = {
      "The matrix is symmetric: a choice, not a finding, as no attitude was recorded."};
  fit.notes = {"At rest from 00:05 to 01:00; the noise was taken from there."};
  fit.sentence =
      "In its own axes the corrected sensor is right to 0.7°; how it sits in the airframe is not "
      "known yet.";
  fit.verdict.state = VerdictState::unproven;
  fit.verdict.because =
      "The figures are those of the sensor’s own axes; no heading of the airframe is known.";
  fit.verdict.do_next =
      "Stand the aircraft on four known headings, note the times, and give them with "
      "--known-heading.";
  return fit;
}

/// A recording that could not carry a correction.
inline SensorFit without_correction() {
  SensorFit fit;
  fit.motion = Motion::swing;
  fit.earth = middle_latitude();
  fit.duration_s = 58.0;
  fit.samples = {.used = 2870, .rejected = 30, .repaired = 0};
  for (std::size_t column = 3; column < 12; ++column) {
    fit.coverage.counts[11 * DirectionCoverage::kColumns + column] = 300;
  }
  fit.coverage.filled_fraction = 9.0 / 288.0;
  fit.coverage.heading_arc_deg = 131.0;
  fit.unobserved = {
      {"hard iron",
       "the turn covers 131°; from less than 270° it cannot be told from a wrong field"}};
  fit.notes = {"The turn stops at 131° of heading and goes no further."};
  fit.sentence =
      "Not decided: the turn covered 131° of heading. Turn through the rest and it will be.";
  fit.verdict = {
      .state = VerdictState::unproven,
      .limit = Limit{Angle::degrees(1.0), "starting limit of this program, not a published one"},
      .because = "A correction from 131° of a turn would be off by tens of degrees elsewhere.",
      .do_next =
          "Turn the aircraft through a whole circle, slowly, in about two minutes, and record "
          "again."};
  return fit;
}

/// Everything too long, too many, or no number at all.
inline SensorFit extreme_texts() {
  SensorFit fit = over_tumble();
  const std::string longwinded =
      " which cannot be told apart from a field of its own that turns with the aircraft, from the "
      "slope "
      "of the ground it stands on, or from steel that lies under the concrete of the apron";
  fit.unobserved.clear();
  fit.assumptions.clear();
  fit.notes.clear();
  for (int i = 1; i <= 8; ++i) {
    fit.unobserved.push_back({"unseen thing number " + std::to_string(i) + " with a long name",
                              "it is one" + longwinded});
  }
  for (int i = 1; i <= 7; ++i)
    fit.assumptions.push_back("Assumption " + std::to_string(i) + longwinded + ".");
  for (int i = 1; i <= 12; ++i) fit.notes.push_back("Note " + std::to_string(i) + longwinded + ".");
  fit.notes.push_back(std::string(300, 'W'));
  fit.sentence = "Even corrected, the heading is wrong by 1.6° to 3.4° near 215 magnetic," +
                 longwinded + ";" + longwinded +
                 ". Move the sensor away from iron and record again on other ground.";
  fit.verdict.because =
      "The largest error left lies between 1.6° and 3.4°," + longwinded + longwinded + ".";
  fit.verdict.do_next =
      "Find the iron," + longwinded + longwinded + longwinded + ", then record again.";
  fit.verdict.limit->basis =
      "a basis with a name so long that no line of a sheet could ever hold all of it at once";
  fit.earth.source =
      "measured beside the sensor with a borrowed total-field instrument on three evenings, median "
      "of all";
  fit.samples = {.used = 123456789, .rejected = 98765432, .repaired = 1234567};
  fit.duration_s = 900000.0;
  set_residuals(fit, {{100000.0, 220000.0, 2.0e4}});
  fit.condition = 4.2e9;
  fit.before = {Angle::degrees(178.4), 359.9, band(120.0, 180.0)};
  fit.forecast.clear();
  for (int bank = -60; bank <= 60; bank += 5) {
    for (int pitch = -40; pitch <= 40; pitch += 10) {
      fit.forecast.push_back(
          {static_cast<double>(bank), static_cast<double>(pitch), band(100.2, 179.9)});
    }
  }
  return fit;
}

struct NamedFit {
  std::string name;
  SensorFit fit;
};
inline std::vector<NamedFit> all() {
  return {{"within", within_swing()},
          {"over", over_tumble()},
          {"sensor", unproven_sensor_tumble()},
          {"none", without_correction()},
          {"extreme", extreme_texts()}};
}

}  // namespace qn::samples
