// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <optional>

#include "procedure/swing_compass_internal.h"
#include "vocab/heading.h"

namespace qn {
namespace {

constexpr double kReadingSigma_deg = 0.7;
constexpr double kStationSigma_deg = 0.7;
constexpr double kNorthSigma_deg = 0.5;
constexpr double kHysteresisSigma_deg = 0.5;
constexpr double kRounding_deg = 1.0;
// A compass whose readings are means tells their scatter, but a mean hides slow errors and whole
// degrees (1/sqrt(12)): it is not believed below this.
constexpr double kLeastOwnSigma_deg = 0.3;
// How firmly the size of the noise is believed: our assumption, and a size that was given.
constexpr double kAssumedDof = 4.0;
// With so many readings left over they tell the size about as well as it is assumed: the assumption
// stands in for those that are missing to that number, and counts like one where none is.
constexpr double kEnoughLeft = 8.0;
constexpr double kGivenDof = 10.0;
// Where the headings fix all five, no opinion; else what compasses are like, A to E.
constexpr SwingParameters kNoOpinion = {1e4, 1e4, 1e4, 1e4, 1e4, 10.0};
constexpr SwingParameters kUsual = {20.0, 30.0, 30.0, 3.0, 3.0, 10.0};

double middle_deviation(const std::vector<SwingRow>& rows) {
  double s = 0.0;
  double c = 0.0;
  for (const SwingRow& row : rows) {
    const Angle off = Angle::degrees(row.station_deg - row.indicated_deg);
    s += std::sin(off.in_rad());
    c += std::cos(off.in_rad());
  }
  const double mean = Angle::radians(std::atan2(s, c)).in_deg();
  std::vector<double> about;
  for (const SwingRow& row : rows) {
    about.push_back(wrap_180_deg(row.station_deg - row.indicated_deg - mean));
  }
  const auto middle = about.begin() + static_cast<std::ptrdiff_t>(about.size() / 2);
  std::nth_element(about.begin(), middle, about.end());
  return mean + *middle;
}

// The scatter that the readings tell of themselves; nothing unless all of them do.
std::optional<double> own_sigma_of(const std::vector<SwingReading>& readings) {
  double squares = 0.0;
  for (const SwingReading& r : readings) {
    if (!(r.own_sigma_deg > 0.0)) return std::nullopt;
    squares += r.own_sigma_deg * r.own_sigma_deg;
  }
  return std::sqrt(squares / static_cast<double>(readings.size()));
}

// Whether the headings alone tell every coefficient better than half of what is usual.
bool headings_suffice(const std::vector<SwingRow>& rows, const SwingPrior& prior,
                      const SwingParameters& theta) {
  SwingMatrix information{};
  for (const SwingRow& row : rows) {
    const SwingRowView v = view_row(row, DeviationForm::series, theta, prior);
    const double weight =
        1.0 / (v.sigma_deg * v.sigma_deg + prior.rounding_deg * prior.rounding_deg / 12.0);
    for (std::size_t i = 0; i < kSwingParameters; ++i) {
      for (std::size_t j = 0; j <= i; ++j) {
        information[i][j] += weight * v.gradient[i] * v.gradient[j];
      }
    }
  }
  information[5][5] += 1.0 / (prior.sd[5] * prior.sd[5]);
  const SwingSpread spread = spread_of_information(information);
  for (std::size_t j = 0; j < 5; ++j) {
    if (!spread.positive || std::sqrt(spread.covariance[j][j]) > 0.5 * kUsual[j]) return false;
  }
  return true;
}

}  // namespace

double assumed_dof(double left_over) {
  return std::clamp(kEnoughLeft - left_over, 1.0, kAssumedDof);
}

SwingSettings settings_of(const SwingOptions& options) {
  SwingSettings out;
  out.prior.reading_sigma_deg = options.reading_sigma_deg.value_or(kReadingSigma_deg);
  out.prior.station_sigma_deg = options.station_sigma_deg.value_or(kStationSigma_deg);
  out.prior.rounding_deg = options.rounding_deg.value_or(kRounding_deg);
  out.sizes_given = options.reading_sigma_deg && options.station_sigma_deg;
  out.prior.noise_dof = out.prior.shared_dof = out.sizes_given ? kGivenDof : kAssumedDof;
  out.prior.sd = kNoOpinion;
  out.north_sigma_deg = options.north_sigma_deg.value_or(kNorthSigma_deg);
  out.hysteresis_sigma_deg = options.hysteresis_sigma_deg.value_or(kHysteresisSigma_deg);
  return out;
}

CompassFit prepare_compass(const std::vector<SwingReading>& readings,
                           const SwingSettings& settings) {
  CompassFit fit;
  fit.prior = settings.prior;
  fit.own_sigma_deg = own_sigma_of(readings);
  if (fit.own_sigma_deg) {
    fit.prior.reading_sigma_deg = std::max(*fit.own_sigma_deg, kLeastOwnSigma_deg);
    fit.prior.rounding_deg = 0.0;
  }
  bool turns[2] = {false, false};
  for (const SwingReading& r : readings) {
    const double turn = r.turn == SwingTurn::counterclockwise ? -1.0 : 1.0;
    if (r.turn != SwingTurn::unknown) turns[turn > 0.0 ? 0 : 1] = true;
    fit.rows.push_back({r.station_deg, r.indicated_deg, turn, 0.0, 0.0});
  }
  take_attitudes(fit.rows, readings);
  fit.prior.tilted = stood_tilted(fit.rows);
  fit.both_turns = turns[0] && turns[1];
  if (!settings.sizes_given) {
    const auto readings_left = static_cast<double>(readings.size()) - (fit.both_turns ? 6.0 : 5.0);
    fit.prior.noise_dof = assumed_dof(readings_left);
  }
  // In one direction the difference of the two is a shift of A that nothing shows.
  if (!fit.both_turns) {
    for (SwingRow& row : fit.rows) row.turn = 1.0;
    fit.prior.sd[5] = 0.5 * settings.hysteresis_sigma_deg;
  }
  const double half_turns = fit.prior.sd[5];
  if (!headings_suffice(fit.rows, fit.prior, first_guess(fit))) {
    fit.leaning = true;
    fit.prior.sd = kUsual;
    fit.prior.sd[5] = half_turns;
  }
  return fit;
}

SwingParameters first_guess(const CompassFit& fit) {
  SwingParameters theta{};
  theta[0] = middle_deviation(fit.rows);
  return theta;
}

}  // namespace qn
