// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>

#include "procedure/swing_compass_internal.h"
#include "vocab/heading.h"

namespace qn {
namespace {

constexpr double kReadingSigma_deg = 0.7;
constexpr double kStationSigma_deg = 0.7;
constexpr double kNorthSigma_deg = 0.5;
constexpr double kHysteresisSigma_deg = 0.5;
constexpr double kRounding_deg = 1.0;
// How firmly the size of the noise is believed: our assumption, and a size that was given.
constexpr double kAssumedDof = 4.0;
constexpr double kGivenDof = 10.0;
// Where the headings fix all five, no opinion; else what compasses are like, A to E.
constexpr SwingParameters kNoOpinion = {1e4, 1e4, 1e4, 1e4, 1e4, 10.0};
constexpr SwingParameters kUsual = {20.0, 30.0, 30.0, 3.0, 3.0, 10.0};
// From this size on the small-angle series is off by more than a degree (docs/sources.md).
constexpr double kLarge_deg = 20.0;
// Opinions less likely than this do not widen the bands by anything to be seen.
constexpr double kMatters = 0.02;
constexpr std::size_t kMostOpinions = 5;

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

std::vector<SwingRow> without(const std::vector<SwingRow>& rows,
                              const std::vector<std::size_t>& left_out) {
  std::vector<SwingRow> out;
  for (std::size_t i = 0; i < rows.size(); ++i) {
    if (std::find(left_out.begin(), left_out.end(), i) == left_out.end()) out.push_back(rows[i]);
  }
  return out;
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

double spread_of(DeviationForm form, const SwingParameters& theta) {
  const DeviationCurve curve = curve_of(form, theta);
  double most = 0.0;
  for (int z = 0; z < 360; z += 5) {
    most = std::max(most, std::fabs(curve.deviation_deg(z) - theta[0]));
  }
  return most;
}

SwingPosterior fit_without(const CompassFit& fit, const std::vector<std::size_t>& left_out,
                           const SwingParameters& start) {
  return fit_swing_rows(without(fit.rows, left_out), fit.form, fit.prior, start);
}

SwingParameters likeliest_without(const CompassFit& fit, const std::vector<std::size_t>& left_out,
                                  const SwingParameters& start) {
  return likeliest_parameters(without(fit.rows, left_out), fit.form, fit.prior, start);
}

}  // namespace

SwingSettings settings_of(const SwingOptions& options) {
  SwingSettings out;
  out.prior.reading_sigma_deg = options.reading_sigma_deg.value_or(kReadingSigma_deg);
  out.prior.station_sigma_deg = options.station_sigma_deg.value_or(kStationSigma_deg);
  out.prior.rounding_deg = options.rounding_deg.value_or(kRounding_deg);
  out.prior.noise_dof =
      options.reading_sigma_deg && options.station_sigma_deg ? kGivenDof : kAssumedDof;
  out.prior.sd = kNoOpinion;
  out.north_sigma_deg = options.north_sigma_deg.value_or(kNorthSigma_deg);
  out.hysteresis_sigma_deg = options.hysteresis_sigma_deg.value_or(kHysteresisSigma_deg);
  return out;
}

CompassFit fit_compass(const std::vector<SwingReading>& readings, const SwingSettings& settings) {
  CompassFit fit;
  fit.prior = settings.prior;
  bool turns[2] = {false, false};
  for (const SwingReading& r : readings) {
    const double turn = r.turn == SwingTurn::counterclockwise ? -1.0 : 1.0;
    if (r.turn != SwingTurn::unknown) turns[turn > 0.0 ? 0 : 1] = true;
    fit.rows.push_back({r.station_deg, r.indicated_deg, turn});
  }
  fit.both_turns = turns[0] && turns[1];
  // In one direction the difference of the two is a shift of A that nothing shows.
  if (!fit.both_turns) {
    for (SwingRow& row : fit.rows) row.turn = 1.0;
    fit.prior.sd[5] = 0.5 * settings.hysteresis_sigma_deg;
  }
  SwingParameters theta{};
  theta[0] = middle_deviation(fit.rows);
  const double half_turns = fit.prior.sd[5];
  if (!headings_suffice(fit.rows, fit.prior, theta)) {
    fit.leaning = true;
    fit.prior.sd = kUsual;
    fit.prior.sd[5] = half_turns;
  }
  std::vector<std::size_t> left_out;
  for (int round = 0; round < 4; ++round) {
    theta = likeliest_without(fit, left_out, theta);
    const bool larger =
        fit.form == DeviationForm::series && spread_of(fit.form, theta) > kLarge_deg && round > 0;
    if (larger) {
      fit.form = DeviationForm::exact;
      theta = likeliest_without(fit, left_out, theta);
    }
    fit.sets = weigh_gross(fit.rows, fit.form, fit.prior, theta);
    std::vector<std::size_t> again = fit.sets.front().rows;
    if (again == left_out && round > 0 && !larger) break;
    left_out = std::move(again);
  }
  for (const GrossSet& set : fit.sets) {
    if (!fit.posteriors.empty() &&
        (set.probability < kMatters || fit.posteriors.size() >= kMostOpinions)) {
      break;
    }
    fit.posteriors.push_back(fit_without(fit, set.rows, theta));
  }
  return fit;
}

}  // namespace qn
