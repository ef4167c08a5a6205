// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "estimation/normal_equations.h"
#include "procedure/sensor_ground_internal.h"

namespace qn::sensor_model {
namespace {

constexpr double kBatch_s = 10.0;           // longer than the noise of an attitude stays alike
constexpr double kLeastSigma_rad = 0.0003;  // 0.02 degrees: the ground is no better a plane

struct Row {
  double time_s;
  std::array<double, 4> by;  // north, east, roll, pitch
  double value;
};

std::vector<Row> rows_of(const std::vector<double>& time_s, const std::vector<double>& heading_rad,
                         const std::vector<double>& roll_rad,
                         const std::vector<double>& pitch_rad) {
  std::vector<Row> rows;
  for (std::size_t k = 0; k < time_s.size(); ++k) {
    if (!std::isfinite(heading_rad[k]) || !std::isfinite(roll_rad[k]) ||
        !std::isfinite(pitch_rad[k])) {
      continue;
    }
    const double c = std::cos(heading_rad[k]);
    const double s = std::sin(heading_rad[k]);
    rows.push_back({time_s[k], {s, -c, 1.0, 0.0}, roll_rad[k]});
    rows.push_back({time_s[k], {c, s, 0.0, 1.0}, pitch_rad[k]});
  }
  return rows;
}

// Variance of one coefficient from how the means of whole batches scatter: neighbouring samples
// share their error.
double scatter_of_mean(const std::vector<Row>& rows, const std::array<double, 4>& fit) {
  std::vector<double> means;
  for (std::size_t at = 0; at < rows.size();) {
    double sum = 0.0;
    double count = 0.0;
    const double end_s = rows[at].time_s + kBatch_s;
    for (; at < rows.size() && rows[at].time_s < end_s; at += 2) {
      double residual = rows[at].value;
      for (std::size_t i = 0; i < 4; ++i) residual -= rows[at].by[i] * fit[i];
      sum += residual;
      count += 1.0;
    }
    means.push_back(sum / count);
  }
  if (means.size() < 5) return 1e-4;  // too few to tell: half a degree squared
  double square = 0.0;
  for (const double m : means) square += m * m;
  const double n = static_cast<double>(means.size());
  return square / (n - 4.0) / n;
}

double covered_turn(const std::vector<Row>& rows) {
  std::array<bool, 36> met{};
  for (std::size_t k = 1; k < rows.size(); k += 2) {
    const double turn = std::atan2(rows[k].by[1], rows[k].by[0]) / (2.0 * std::numbers::pi);
    met[static_cast<std::size_t>(36.0 * (turn < 0.0 ? turn + 1.0 : turn)) % 36] = true;
  }
  return static_cast<double>(std::count(met.begin(), met.end(), true)) / 36.0;
}

}  // namespace

std::optional<LoggedGround> learn_ground(const std::vector<double>& time_s,
                                         const std::vector<double>& heading_rad,
                                         const std::vector<double>& roll_rad,
                                         const std::vector<double>& pitch_rad,
                                         double sigma_constant_rad) {
  const std::vector<Row> rows = rows_of(time_s, heading_rad, roll_rad, pitch_rad);
  // Stops on eight marks fill at least a fifth of the cells.
  if (rows.size() < 8 || covered_turn(rows) < 0.15) return std::nullopt;
  NormalEquations sums{4};
  for (const Row& row : rows) {
    sums.add_row({row.by.begin(), row.by.end()}, -row.value, 1.0);
  }
  if (!(scaled_condition(sums.information) < 1e4)) return std::nullopt;
  const std::vector<double> solved = solve_step(sums, 0.0);
  const std::array<double, 4> fit{solved[0], solved[1], solved[2], solved[3]};
  const double variance = scatter_of_mean(rows, fit);
  LoggedGround out;
  out.slope_north_rad = fit[0];
  out.slope_east_rad = fit[1];
  // Two components see each slope, with half the square of the turning sine: together like a mean.
  out.sigma_slope_rad = std::max(std::sqrt(variance), kLeastSigma_rad);
  out.deck_roll_rad = fit[2];
  out.deck_pitch_rad = fit[3];
  out.sigma_deck_rad = std::hypot(std::sqrt(variance), sigma_constant_rad);
  return out;
}

}  // namespace qn::sensor_model
