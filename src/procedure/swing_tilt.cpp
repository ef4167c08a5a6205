// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>

#include "procedure/swing_fit_internal.h"
#include "procedure/swing_solve.h"
#include "procedure/swing_tilt_internal.h"

namespace qn {
namespace {

// Our own assumptions, 1 sigma, each for one degree of tilt (docs/math/swing.md says why).
constexpr double kDown = 0.2;       // vertical iron: B by pitch, and C by roll the other way
constexpr double kSoft = 0.1;       // D times the tangent of the dip: both of them alike
constexpr double kAcross = 0.1;     // A and E times that: B by roll, C by pitch
constexpr double kBetween = 0.014;  // iron that leads down into across, and back: A, D and E

// Lower triangle L, L L' = it; positive by its prior.
TiltMatrix lower_root(const TiltMatrix& a) {
  TiltMatrix out{};
  for (std::size_t j = 0; j < kTiltNumbers; ++j) {
    for (std::size_t i = j; i < kTiltNumbers; ++i) {
      double sum = a[i][j];
      for (std::size_t k = 0; k < j; ++k) sum -= out[i][k] * out[j][k];
      out[i][j] = i == j ? std::sqrt(sum) : sum / out[j][j];
    }
  }
  return out;
}

SwingTilt solved(const TiltMatrix& lower, SwingTilt x) {
  for (std::size_t i = 0; i < kTiltNumbers; ++i) {
    for (std::size_t k = 0; k < i; ++k) x[i] -= lower[i][k] * x[k];
    x[i] /= lower[i][i];
  }
  for (std::size_t i = kTiltNumbers; i-- > 0;) {
    for (std::size_t k = i + 1; k < kTiltNumbers; ++k) x[i] -= lower[k][i] * x[k];
    x[i] /= lower[i][i];
  }
  return x;
}

}  // namespace

const TiltMatrix& tilt_precision() {
  // B by pitch = K - S and C by roll = -K - S, K +- kDown and S +- kSoft.
  static const TiltMatrix precision = [] {
    const double k = 0.25 / (kDown * kDown), s = 0.25 / (kSoft * kSoft);
    TiltMatrix out{};
    out[0][0] = out[3][3] = k + s;
    out[0][3] = out[3][0] = s - k;
    out[1][1] = out[2][2] = 1.0 / (kAcross * kAcross);
    return out;
  }();
  return precision;
}

std::array<double, 2> tilt_sigmas_deg(double pitch_deg, double roll_deg) {
  const double along = std::hypot(kDown, kSoft);
  return {std::hypot(pitch_deg * along, roll_deg * kAcross),
          std::hypot(pitch_deg * kAcross, roll_deg * along)};
}

bool stood_tilted(const std::vector<SwingRow>& rows) {
  return std::any_of(rows.begin(), rows.end(), [](const SwingRow& row) {
    return row.pitch_deg != 0.0 || row.roll_deg != 0.0;
  });
}

void take_attitudes(std::vector<SwingRow>& rows, const std::vector<SwingReading>& readings) {
  const auto take = [&](double SwingReading::*from, double SwingRow::*to) {
    double sum = 0.0;
    int known = 0;
    for (const SwingReading& r : readings) {
      if (!std::isfinite(r.*from)) continue;
      sum += r.*from;
      ++known;
    }
    if (known == 0) return;
    for (std::size_t i = 0; i < rows.size(); ++i) {
      const double given = readings[i].*from;
      rows[i].*to = std::isfinite(given) ? given : sum / known;
    }
  };
  take(&SwingReading::pitch_deg, &SwingRow::pitch_deg);
  take(&SwingReading::roll_deg, &SwingRow::roll_deg);
}

DeviationCurve curve_on_stop(DeviationCurve level, const SwingRow& row, const SwingTilt& tilt) {
  level.coefficients_deg[1] += row.pitch_deg * tilt[0] + row.roll_deg * tilt[1];
  level.coefficients_deg[2] += row.pitch_deg * tilt[2] + row.roll_deg * tilt[3];
  return level;
}

double tilt_between_deg(const std::vector<SwingRow>& rows) {
  double pitch = 0.0, roll = 0.0;
  for (const SwingRow& row : rows) {
    pitch += row.pitch_deg;
    roll += row.roll_deg;
  }
  return kBetween * std::hypot(pitch, roll) / static_cast<double>(rows.size());
}

SwingTilt tilt_gradient(const SwingRow& row, const SwingParameters& gradient) {
  return {row.pitch_deg * gradient[1], row.roll_deg * gradient[1], row.pitch_deg * gradient[2],
          row.roll_deg * gradient[2]};
}

void TiltEquations::add_row(const SwingTilt& ways, const SwingParameters& gradient_of_row,
                            double weight, double first) {
  for (std::size_t t = 0; t < kTiltNumbers; ++t) {
    const double weighted = weight * ways[t];
    for (std::size_t j = 0; j < kSwingParameters; ++j)
      across[t][j] += weighted * gradient_of_row[j];
    for (std::size_t u = 0; u < kTiltNumbers; ++u) information[t][u] += weighted * ways[u];
    gradient[t] -= first * ways[t];
  }
}

double TiltEquations::add_prior(const SwingTilt& at) {
  const TiltMatrix& precision = tilt_precision();
  double log_density = 0.0;
  for (std::size_t t = 0; t < kTiltNumbers; ++t) {
    for (std::size_t u = 0; u < kTiltNumbers; ++u) {
      information[t][u] += precision[t][u];
      gradient[t] += precision[t][u] * at[u];
      log_density -= 0.5 * precision[t][u] * at[t] * at[u];
    }
  }
  return log_density;
}

SwingTilt TiltSpread::moved_by(const SwingParameters& change) const {
  SwingTilt out{};
  for (std::size_t t = 0; t < kTiltNumbers; ++t) {
    for (std::size_t j = 0; j < kSwingParameters; ++j) out[t] += follows[t][j] * change[j];
  }
  return out;
}

TiltMatrix TiltSpread::covariance_with(const SwingMatrix& parameters) const {
  TiltMatrix out = covariance;
  for (std::size_t u = 0; u < kTiltNumbers; ++u) {
    const SwingTilt column = moved_by(times(parameters, follows[u]));
    for (std::size_t t = 0; t < kTiltNumbers; ++t) out[t][u] += column[t];
  }
  return out;
}

TiltSpread take_out(const TiltEquations& tilt, SwingMatrix& information,
                    SwingParameters& gradient) {
  TiltSpread out;
  const TiltMatrix lower = lower_root(tilt.information);
  for (std::size_t t = 0; t < kTiltNumbers; ++t) {
    out.log_determinant += 2.0 * std::log(lower[t][t]);
    SwingTilt unit{};
    unit[t] = 1.0;
    out.covariance[t] = solved(lower, unit);
  }
  out.pull = solved(lower, tilt.gradient);
  for (std::size_t j = 0; j < kSwingParameters; ++j) {
    SwingTilt column;
    for (std::size_t t = 0; t < kTiltNumbers; ++t) column[t] = tilt.across[t][j];
    column = solved(lower, column);
    for (std::size_t t = 0; t < kTiltNumbers; ++t) {
      out.follows[t][j] = -column[t];
      gradient[j] -= tilt.across[t][j] * out.pull[t];
      for (std::size_t i = 0; i < kSwingParameters; ++i) {
        information[i][j] -= tilt.across[t][i] * column[t];
      }
    }
  }
  return out;
}

}  // namespace qn
