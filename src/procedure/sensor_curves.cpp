// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "estimation/gaussian_draws.h"
#include "estimation/peak_band.h"
#include "procedure/sensor_curves_internal.h"
#include "procedure/sensor_left_internal.h"
#include "vocab/heading.h"

namespace qn::sensor_model {
namespace {

constexpr std::size_t kDraws = 1000;
// The draws come in pairs of opposite sign, whose largest errors are nearly equal: these are worth
// half their number. Ten times fewer made the bands of the largest error hold only 92 %.
constexpr std::size_t kWorstDraws = 4000;
constexpr std::size_t kHeadings = 72;  // every 5 degrees
constexpr double kRad = std::numbers::pi / 180.0;

// One possible truth: the matrix that would really undo the iron, inverted, and the Earth's field.
struct Truth {
  Matrix3 inverse{};
  Vector3 offset{};
  double horizontal = 0.0, down = 0.0;
};

Matrix3 inverse_of(const Matrix3& a) {
  const auto minor = [&a](std::size_t i, std::size_t j) {
    const std::size_t r0 = (i + 1) % 3, r1 = (i + 2) % 3, c0 = (j + 1) % 3, c1 = (j + 2) % 3;
    return a[r0][c0] * a[r1][c1] - a[r0][c1] * a[r1][c0];
  };
  const double determinant = a[0][0] * minor(0, 0) + a[0][1] * minor(0, 1) + a[0][2] * minor(0, 2);
  Matrix3 out{};
  for (std::size_t i = 0; i < 3; ++i) {
    for (std::size_t j = 0; j < 3; ++j) out[j][i] = minor(i, j) / determinant;
  }
  return out;
}

Vector3 times(const Matrix3& a, const Vector3& v) {
  Vector3 out{};
  for (std::size_t i = 0; i < 3; ++i) {
    out[i] = a[i][0] * v[0] + a[i][1] * v[1] + a[i][2] * v[2];
  }
  return out;
}

Truth truth_of(const Layout& layout, const Parameters& theta) {
  return {inverse_of(matrix_of(layout, theta)), offset_of(layout, theta),
          theta[static_cast<std::size_t>(layout.horizontal)],
          theta[static_cast<std::size_t>(layout.down)]};
}

Vector3 reading(const Truth& truth, double heading, double roll, double pitch) {
  Vector3 x = earth_in_body(truth.horizontal, truth.down, heading, roll, pitch);
  for (std::size_t i = 0; i < 3; ++i) x[i] += truth.offset[i];
  return times(truth.inverse, x);
}

class Curves {
 public:
  Curves(const Layout& layout, const Solution& solution, double turn_rad)
      : turn_{turn_rad},
        matrix_{matrix_of(layout, solution.theta)},
        offset_{offset_of(layout, solution.theta)},
        best_{truth_of(layout, solution.theta)} {
    const std::vector<double> draws = gaussian_draws(solution.covariance, kWorstDraws, 20260514);
    const std::size_t n = solution.theta.size();
    for (std::size_t d = 0; d < kWorstDraws; ++d) {
      Parameters theta = solution.theta;
      for (std::size_t p = 0; p < n; ++p) theta[p] += draws[d * n + p];
      const Truth truth = truth_of(layout, theta);
      left_over_.push_back(left_over(truth));
      if (d < kDraws) truths_.push_back(truth);
    }
  }
  const Truth& best() const { return best_; }
  const std::vector<Truth>& truths() const { return truths_; }
  const std::vector<LeftOver>& left_over() const { return left_over_; }

  // Indicated minus magnetic heading in level flight, degrees, if the raw reading were used as it
  // is.
  double before_deg(const Truth& truth, double heading) const {
    const Vector3 m = reading(truth, heading, 0.0, 0.0);
    return wrap_180_deg((heading_of_rad(m, 0.0, 0.0) + turn_ - heading) / kRad);
  }
  // The same after our correction.
  double after_deg(const Truth& truth, double heading, double roll, double pitch) const {
    const Vector3 corrected = times(matrix_, reading(truth, heading, roll, pitch));
    const Vector3 x{corrected[0] - offset_[0], corrected[1] - offset_[1],
                    corrected[2] - offset_[2]};
    return wrap_180_deg((heading_of_rad(x, roll, pitch) - heading) / kRad);
  }

 private:
  LeftOver left_over(const Truth& truth) const {
    LeftOver left{
        {}, times(matrix_, times(truth.inverse, truth.offset)), truth.horizontal, truth.down};
    for (std::size_t i = 0; i < 3; ++i) {
      left.shift_uT[i] -= offset_[i];
      for (std::size_t j = 0; j < 3; ++j) {
        for (std::size_t k = 0; k < 3; ++k) {
          left.gain[i][j] += matrix_[i][k] * truth.inverse[k][j];
        }
      }
    }
    return left;
  }

  double turn_;
  Matrix3 matrix_;
  Vector3 offset_;
  Truth best_;
  std::vector<Truth> truths_;
  std::vector<LeftOver> left_over_;
};

std::vector<double> in_deg(std::vector<double> angles_rad) {
  for (double& angle : angles_rad) angle /= kRad;
  return angles_rad;
}

Band95 band_of(std::vector<double> values) {
  const double lo = quantile(values, 0.025);
  const double hi = quantile(values, 0.975);
  return {Angle::degrees(lo), Angle::degrees(hi)};
}

double heading_at(std::size_t i, std::size_t count) {
  return 2.0 * std::numbers::pi * static_cast<double>(i) / static_cast<double>(count);
}

// The largest size of the estimated curve within 5 degrees of heading `near`, to a hundredth of a
// degree: where hard iron is strong the curve is too sharp for the 5 degree steps.
double refined_peak(const Curves& curves, double near) {
  const auto size = [&](double heading) {
    return std::abs(curves.before_deg(curves.best(), heading));
  };
  constexpr double kGolden = 0.6180339887498949;
  double low = near - 5.0 * kRad;
  double high = near + 5.0 * kRad;
  for (int i = 0; i < 20; ++i) {
    const double left = high - kGolden * (high - low);
    const double right = low + kGolden * (high - low);
    (size(left) > size(right) ? high : low) = size(left) > size(right) ? right : left;
  }
  return 0.5 * (low + high);
}

// Regular headings, and the exact places of the curve's own peaks.
std::vector<double> headings_with_peaks(const Curves& curves) {
  std::vector<double> headings;
  std::vector<double> sizes;
  for (std::size_t i = 0; i < kHeadings; ++i) {
    headings.push_back(heading_at(i, kHeadings));
    sizes.push_back(std::abs(curves.before_deg(curves.best(), headings.back())));
  }
  for (std::size_t i = 0; i < kHeadings; ++i) {
    const double before = sizes[(i + kHeadings - 1) % kHeadings];
    const double after = sizes[(i + 1) % kHeadings];
    if (sizes[i] >= before && sizes[i] >= after) {
      headings.push_back(refined_peak(curves, headings[i]));
    }
  }
  return headings;
}

void draw_before(const Curves& curves, SensorFit& fit) {
  const std::vector<double> headings = headings_with_peaks(curves);
  const std::size_t n = headings.size();
  std::vector<double> curve(n);
  for (std::size_t i = 0; i < n; ++i) {
    curve[i] = curves.before_deg(curves.best(), headings[i]);
    if (std::abs(curve[i]) > fit.before.worst.in_deg()) {
      fit.before.worst = Angle::degrees(std::abs(curve[i]));
      fit.before.at_heading_deg = wrap_360_deg(headings[i] / kRad);
    }
  }
  std::vector<double> deviations(kDraws * n);
  for (std::size_t d = 0; d < kDraws; ++d) {
    for (std::size_t i = 0; i < n; ++i) {
      const double y = curves.before_deg(curves.truths()[d], headings[i]);
      deviations[d * n + i] = wrap_180_deg(y - curve[i]);
    }
  }
  for (std::size_t i = 0; i < kHeadings; ++i) {
    std::vector<double> column(kDraws);
    for (std::size_t d = 0; d < kDraws; ++d) column[d] = deviations[d * n + i];
    HeadingErrorPoint& point = fit.curve[i];
    point.before_deg = curve[i];
    const Band95 band = band_of(std::move(column));
    const Angle centre = Angle::degrees(curve[i]);
    point.before_95 = {centre + band.lo, centre + band.hi};
  }
  const auto [lo, hi] = peak_band_95(curve, deviations);
  // An error cannot be larger than half a turn: there the heading is simply lost.
  fit.before.worst_95 = {Angle::degrees(lo), Angle::degrees(std::min(hi, 180.0))};
}

// After correction the expected error is zero: what is left is how far the truth may be from it.
void draw_after(const Curves& curves, SensorFit& fit) {
  for (std::size_t i = 0; i < kHeadings; ++i) {
    std::vector<double> column(kDraws);
    for (std::size_t d = 0; d < kDraws; ++d) {
      column[d] = curves.after_deg(curves.truths()[d], heading_at(i, kHeadings), 0.0, 0.0);
    }
    fit.curve[i].after_95 = band_of(std::move(column));
  }
  fit.after_worst_95 = band_of(in_deg(worst_left_rad(curves.left_over(), kHeadings, 0.0, 0.0)));
}

void draw_forecast(const Curves& curves, SensorFit& fit) {
  constexpr std::size_t kCoarse = 36;
  constexpr std::array<std::array<double, 2>, 6> kAttitudes{
      {{0, 0}, {15, 0}, {30, 0}, {0, 15}, {15, 15}, {30, 15}}};
  for (const auto& [bank, pitch] : kAttitudes) {
    std::vector<double> peaks(kWorstDraws, 0.0);
    for (const double bank_sign : {1.0, -1.0}) {
      if (bank == 0.0 && bank_sign < 0.0) continue;
      for (const double pitch_sign : {1.0, -1.0}) {
        if (pitch == 0.0 && pitch_sign < 0.0) continue;
        const std::vector<double> here = in_deg(worst_left_rad(
            curves.left_over(), kCoarse, bank_sign * bank * kRad, pitch_sign * pitch * kRad));
        for (std::size_t d = 0; d < kWorstDraws; ++d) peaks[d] = std::max(peaks[d], here[d]);
      }
    }
    fit.forecast.push_back({bank, pitch, band_of(std::move(peaks))});
  }
}

}  // namespace

void draw_curves(const Layout& layout, const Solution& solution, double turn_rad, SensorFit& fit) {
  const Curves curves{layout, solution, turn_rad};
  fit.curve.resize(kHeadings);
  for (std::size_t i = 0; i < kHeadings; ++i) {
    fit.curve[i].heading_deg = 5.0 * static_cast<double>(i);
  }
  draw_before(curves, fit);
  draw_after(curves, fit);
  draw_forecast(curves, fit);
}

}  // namespace qn::sensor_model
