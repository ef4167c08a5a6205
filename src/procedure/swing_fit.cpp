// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <optional>
#include <utility>

#include "procedure/swing_fit_internal.h"
#include "procedure/swing_interval_internal.h"
#include "vocab/heading.h"

namespace qn {
namespace {

// Sizes of the noise tried, as multiples of what the prior says: from a fifth to six times.
constexpr double kFirstScale = 0.2;
constexpr double kScaleStep = 1.4;
constexpr int kScales = 11;
constexpr int kMiddle = 5;  // 0.2 * 1.4^5 = 1.08
// Sizes this much less likely than the best (as a logarithm) are not looked at further.
constexpr double kUnlikely = 7.0;
// Newton's error after a step is of the order of its square.
constexpr double kSmallStep_deg = 1e-3;

double scale_of(int node) { return kFirstScale * std::pow(kScaleStep, node); }

struct Equations {
  SwingMatrix information{};  // lower half
  SwingParameters gradient{};
  double log_density = 0.0;
  std::optional<TiltSpread> tilt;  // taken out of the other two
};

/// Rows in use, and beside each where it was expected last: the next look begins there.
class RowsInUse {
 public:
  RowsInUse(const std::vector<SwingRow>& rows, DeviationForm form, const SwingPrior& prior,
            const SwingParameters& start)
      : rows_{rows}, form_{form}, prior_{prior} {
    for (const SwingRow& row : rows) {
      expected_deg_.push_back(view_row(row, form, start, prior).expected_deg);
    }
  }

  Equations at(const SwingParameters& theta, const SwingTilt& tilt, double scale) {
    Equations out;
    std::optional<TiltEquations> tilted;
    if (prior_.tilted) tilted.emplace();
    for (std::size_t r = 0; r < rows_.size(); ++r) {
      const SwingRowView view = view_row(rows_[r], form_, theta, prior_, expected_deg_[r], tilt);
      expected_deg_[r] = view.expected_deg;
      const Pull pull = add(out, view, scale);
      if (tilted) {
        tilted->add_row(tilt_gradient(rows_[r], view.gradient), view.gradient, pull.weight,
                        pull.first);
      }
    }
    for (std::size_t i = 0; i < kSwingParameters; ++i) {
      const double precision = 1.0 / (prior_.sd[i] * prior_.sd[i]);
      out.information[i][i] += precision;
      out.gradient[i] += precision * theta[i];
      out.log_density -= 0.5 * precision * theta[i] * theta[i];
    }
    if (tilted) {
      out.log_density += tilted->add_prior(tilt);
      out.tilt = take_out(*tilted, out.information, out.gradient);
      out.tilt->mean = tilt;
    }
    return out;
  }

  /// from  parameters, and tilt where there is, to begin at
  SwingNode node(const SwingNode& from, double scale) {
    SwingNode out;
    out.scale = scale;
    out.theta = from.theta;
    Equations here = at(from.theta, from.tilt ? from.tilt->mean : SwingTilt{}, scale);
    out.spread = spread_of_information(here.information);
    for (int i = 0; i < 25 && out.spread.positive; ++i) {
      const SwingParameters step = times(out.spread.covariance, here.gradient);
      double largest = 0.0;
      for (const double s : step) largest = std::max(largest, std::fabs(s));
      if (!better(out, here, step, largest > 40.0 ? 40.0 / largest : 1.0)) break;
      out.spread = spread_of_information(here.information);
      if (largest < kSmallStep_deg) break;
    }
    out.log_weight =
        here.log_density + log_scale_prior(scale, prior_) - 0.5 * out.spread.log_determinant;
    if (here.tilt) {
      out.log_weight -= 0.5 * here.tilt->log_determinant;
      out.tilt = here.tilt;
    }
    return out;
  }

 private:
  struct Pull {
    double weight = 0.0, first = 0.0;  // of one row, along its expected reading
  };

  Pull add(Equations& out, const SwingRowView& view, double scale) const {
    const double sigma = scale * view.sigma_deg;
    const auto part = rounded_likelihood(view.left_deg, sigma, prior_.rounding_deg);
    out.log_density += part.log;
    // In the middle of a wide interval the reading says nothing; a floor keeps the step finite.
    const double least = 0.1 / (sigma * sigma + prior_.rounding_deg * prior_.rounding_deg / 12.0);
    const double weight = std::max(-part.second, least);
    for (std::size_t i = 0; i < kSwingParameters; ++i) {
      const double weighted = weight * view.gradient[i];
      for (std::size_t j = 0; j <= i; ++j) out.information[i][j] += weighted * view.gradient[j];
      out.gradient[i] -= part.first * view.gradient[i];
    }
    return {weight, part.first};
  }

  // Shortens the step until the density rises; false: it does not.
  bool better(SwingNode& node, Equations& here, const SwingParameters& step, double shrink) {
    for (int tries = 0; tries < 4; ++tries, shrink *= 0.4) {
      SwingParameters next = node.theta;
      for (std::size_t j = 0; j < kSwingParameters; ++j) next[j] -= shrink * step[j];
      SwingTilt tilt{};
      if (here.tilt) {
        const SwingTilt follow = here.tilt->moved_by(step);
        for (std::size_t t = 0; t < kTiltNumbers; ++t) {
          tilt[t] = here.tilt->mean[t] - shrink * (here.tilt->pull[t] + follow[t]);
        }
      }
      const Equations there = at(next, tilt, node.scale);
      if (there.log_density < here.log_density - 1e-9) continue;
      node.theta = next;
      here = there;
      return true;
    }
    return false;
  }

  const std::vector<SwingRow>& rows_;
  DeviationForm form_;
  const SwingPrior& prior_;
  std::vector<double> expected_deg_;
};

SwingNode begun_at(const SwingParameters& theta) {
  SwingNode out;
  out.theta = theta;
  return out;
}

}  // namespace

double SwingPrior::sigma(double slope) const {
  const double placed = station_sigma_deg / std::max(1.0 + slope, 0.3);
  return std::sqrt(reading_sigma_deg * reading_sigma_deg + placed * placed);
}

DeviationCurve curve_of(DeviationForm form, const SwingParameters& theta) {
  return {form, {theta[0], theta[1], theta[2], theta[3], theta[4]}};
}

SwingRowView view_row(const SwingRow& row, DeviationForm form, const SwingParameters& theta,
                      const SwingPrior& prior, std::optional<double> near_deg,
                      const SwingTilt& tilt) {
  DeviationCurve curve = curve_of(form, theta);
  if (prior.tilted) curve = curve_on_stop(curve, row, tilt);
  const double shown = row.station_deg - row.turn * theta[5];
  SwingRowView view;
  const auto value =
      reading_on(curve, shown, near_deg.value_or(shown - theta[0]), view.expected_deg);
  view.along = std::max(1.0 + value.slope, 0.3);
  view.left_deg = wrap_180_deg(row.indicated_deg - view.expected_deg);
  view.sigma_deg = prior.sigma(value.slope);
  for (std::size_t j = 0; j < 5; ++j) view.gradient[j] = -value.per_coefficient[j] / view.along;
  view.gradient[5] = -row.turn / view.along;
  return view;
}

SwingParameters likeliest_parameters(const std::vector<SwingRow>& rows, DeviationForm form,
                                     const SwingPrior& prior, const SwingParameters& start) {
  return RowsInUse{rows, form, prior, start}.node(begun_at(start), scale_of(kMiddle)).theta;
}

double log_scale_prior(double scale, const SwingPrior& prior) {
  return -prior.noise_dof * std::log(scale) - 0.5 * prior.noise_dof / (scale * scale);
}

SwingPosterior fit_swing_rows(const std::vector<SwingRow>& rows, DeviationForm form,
                              const SwingPrior& prior, const SwingParameters& start) {
  SwingPosterior out;
  out.form = form;
  RowsInUse in_use{rows, form, prior, start};
  const SwingNode middle = in_use.node(begun_at(start), scale_of(kMiddle));
  double best = middle.log_weight;
  std::vector<SwingNode> below;
  std::vector<SwingNode> above;
  for (const int way : {-1, 1}) {
    double last = middle.log_weight;
    std::vector<SwingNode>& side = way < 0 ? below : above;
    for (int k = kMiddle + way; k >= 0 && k < kScales; k += way) {
      side.push_back(in_use.node(side.empty() ? middle : side.back(), scale_of(k)));
      const bool falling = side.back().log_weight < last;
      last = side.back().log_weight;
      best = std::max(best, last);
      if (falling && last < best - kUnlikely) break;
    }
  }
  std::reverse(below.begin(), below.end());
  out.nodes = std::move(below);
  out.nodes.push_back(middle);
  out.nodes.insert(out.nodes.end(), above.begin(), above.end());
  std::erase_if(out.nodes, [&](const SwingNode& node) {
    return !(node.log_weight >= best - kUnlikely) || !node.spread.positive;
  });
  return out;
}

const SwingNode& SwingPosterior::likeliest() const {
  return *std::max_element(nodes.begin(), nodes.end(), [](const SwingNode& a, const SwingNode& b) {
    return a.log_weight < b.log_weight;
  });
}

double SwingPosterior::mean_scale() const {
  const double best = likeliest().log_weight;
  double sum = 0.0;
  double weighted = 0.0;
  for (const SwingNode& node : nodes) {
    const double weight = std::exp(node.log_weight - best);
    sum += weight;
    weighted += weight * node.scale;
  }
  return weighted / sum;
}

}  // namespace qn
