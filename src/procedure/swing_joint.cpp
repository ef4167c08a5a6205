// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>

#include "procedure/swing_joint_internal.h"

namespace qn {
namespace {

// In place: symmetric to lower triangle L with L L' = it.
bool lower_root_in_place(std::vector<double>& a, std::size_t n) {
  for (std::size_t j = 0; j < n; ++j) {
    const double before = a[j * n + j];
    double pivot = before;
    for (std::size_t i = 0; i < j; ++i) pivot -= a[j * n + i] * a[j * n + i];
    if (!(pivot > 1e-13 * before)) return false;
    const double root = std::sqrt(pivot);
    a[j * n + j] = root;
    for (std::size_t i = j + 1; i < n; ++i) {
      double sum = a[i * n + j];
      for (std::size_t l = 0; l < j; ++l) sum -= a[i * n + l] * a[j * n + l];
      a[i * n + j] = sum / root;
    }
  }
  return true;
}

// x L^-T, x one row.
void solve_lower(const std::vector<double>& lower, std::size_t n, double* x) {
  for (std::size_t j = 0; j < n; ++j) {
    double sum = x[j];
    for (std::size_t i = 0; i < j; ++i) sum -= lower[j * n + i] * x[i];
    x[j] = sum / lower[j * n + j];
  }
}

// Of each row the derivatives of its expected reading by the parameters of its compass.
std::vector<double> gradients_of(const std::vector<JointRow>& rows, std::size_t own) {
  std::vector<double> out;
  out.reserve(rows.size() * own);
  for (const JointRow& row : rows) {
    out.insert(out.end(), row.view.gradient.begin(), row.view.gradient.end());
    if (own == kSwingParameters) continue;
    const SwingTilt ways = tilt_gradient(row.as_read, row.view.gradient);
    out.insert(out.end(), ways.begin(), ways.end());
  }
  return out;
}

bool any_tilted(const std::vector<JointRow>& rows) {
  return std::any_of(rows.begin(), rows.end(), [](const JointRow& row) {
    return row.as_read.pitch_deg != 0.0 || row.as_read.roll_deg != 0.0;
  });
}

}  // namespace

JointSystem::JointSystem(const std::vector<JointRow>& rows, const std::vector<SwingParameters>& sd,
                         const SwingPrior& prior, const JointSizes& sizes)
    : rows_{rows.size()},
      own_{any_tilted(rows) ? kSwingParameters + kTiltNumbers : kSwingParameters},
      parameters_{own_ * sd.size()} {
  const std::size_t n = rows_, own = own_, m = parameters_;
  const std::vector<double> gradients = gradients_of(rows, own);
  std::size_t visits = 0;
  for (const JointRow& row : rows) {
    variance_.push_back(sizes.reading[row.compass] * row.reading_deg * row.reading_deg +
                        row.rounding_deg * row.rounding_deg / 12.0);
    placing_.push_back(std::sqrt(sizes.station) * prior.station_sigma_deg / row.view.along);
    visits = std::max(visits, row.visit + 1);
  }
  // Inverse covariance: of one stay 1/v less a product (Sherman and Morrison).
  std::vector<double> shared(visits, 1.0);
  std::vector<std::vector<std::size_t>> on(visits);
  for (std::size_t i = 0; i < n; ++i) {
    shared[rows[i].visit] += placing_[i] * placing_[i] / variance_[i];
    on[rows[i].visit].push_back(i);
  }
  projector_.assign(n * n, 0.0);
  std::vector<double> weighted(n * m, 0.0);  // W X
  for (std::size_t i = 0; i < n; ++i) {
    for (const std::size_t j : on[rows[i].visit]) {
      double w = -placing_[i] * placing_[j] / (variance_[i] * variance_[j] * shared[rows[i].visit]);
      if (i == j) w += 1.0 / variance_[i];
      projector_[i * n + j] = w;
      for (std::size_t p = 0; p < own; ++p) {
        weighted[i * m + own * rows[j].compass + p] += w * gradients[j * own + p];
      }
    }
  }
  std::vector<double> information(m * m, 0.0);
  std::vector<double> gradient(m, 0.0);
  for (std::size_t i = 0; i < n; ++i) {
    for (std::size_t p = 0; p < own; ++p) {
      const std::size_t at = own * rows[i].compass + p;
      for (std::size_t q = 0; q < m; ++q) {
        information[at * m + q] += gradients[i * own + p] * weighted[i * m + q];
      }
    }
    for (std::size_t q = 0; q < m; ++q) gradient[q] += weighted[i * m + q] * rows[i].view.left_deg;
  }
  for (std::size_t c = 0; c < sd.size(); ++c) {
    for (std::size_t p = 0; p < kSwingParameters; ++p) {
      information[(own * c + p) * m + own * c + p] += 1.0 / (sd[c][p] * sd[c][p]);
    }
    for (std::size_t t = kSwingParameters; t < own; ++t) {
      for (std::size_t u = kSwingParameters; u < own; ++u) {
        information[(own * c + t) * m + own * c + u] +=
            tilt_precision()[t - kSwingParameters][u - kSwingParameters];
      }
    }
  }
  if (!lower_root_in_place(information, m)) return;
  for (std::size_t i = 0; i < n; ++i) solve_lower(information, m, &weighted[i * m]);
  for (std::size_t i = 0; i < n; ++i) {
    for (std::size_t j = 0; j <= i; ++j) {
      double sum = 0.0;
      for (std::size_t q = 0; q < m; ++q) sum += weighted[i * m + q] * weighted[j * m + q];
      projector_[i * n + j] -= sum;
      projector_[j * n + i] = projector_[i * n + j];
    }
  }
  left_.assign(n, 0.0);
  for (std::size_t i = 0; i < n; ++i) {
    for (std::size_t j = 0; j < n; ++j) left_[i] += projector_[i * n + j] * rows[j].view.left_deg;
    squares_ += left_[i] * rows[i].view.left_deg;
    // P times the readings' covariance has the trace that counts what is left over.
    double trace = projector_[i * n + i] * variance_[i];
    for (const std::size_t j : on[rows[i].visit]) {
      trace += projector_[i * n + j] * placing_[i] * placing_[j];
    }
    freedom_ += trace;
  }
  // Covariance = L^-T L^-1, and the step from it.
  covariance_.assign(m * m, 0.0);
  for (std::size_t p = 0; p < m; ++p) {
    covariance_[p * m + p] = 1.0;
    solve_lower(information, m, &covariance_[p * m]);  // row p: L^-1 e_p
  }
  std::vector<double> full(m * m, 0.0);
  for (std::size_t p = 0; p < m; ++p) {
    for (std::size_t q = 0; q <= p; ++q) {
      double sum = 0.0;
      for (std::size_t l = p; l < m; ++l) sum += covariance_[p * m + l] * covariance_[q * m + l];
      full[p * m + q] = full[q * m + p] = sum;
    }
  }
  covariance_ = std::move(full);
  step_.assign(m, 0.0);
  for (std::size_t p = 0; p < m; ++p) {
    for (std::size_t q = 0; q < m; ++q) step_[p] += covariance_[p * m + q] * gradient[q];
  }
  good_ = true;
}

SwingMatrix JointSystem::covariance(std::size_t compass) const {
  SwingMatrix out{};
  for (std::size_t p = 0; p < kSwingParameters; ++p) {
    for (std::size_t q = 0; q < kSwingParameters; ++q) {
      out[p][q] = covariance_[(own_ * compass + p) * parameters_ + own_ * compass + q];
    }
  }
  return out;
}

SwingParameters JointSystem::step(std::size_t compass) const {
  SwingParameters out{};
  for (std::size_t p = 0; p < kSwingParameters; ++p) out[p] = step_[own_ * compass + p];
  return out;
}

SwingTilt JointSystem::tilt(std::size_t compass) const {
  SwingTilt out{};
  for (std::size_t t = 0; t < kTiltNumbers && own_ > kSwingParameters; ++t) {
    out[t] = step_[own_ * compass + kSwingParameters + t];
  }
  return out;
}

std::optional<TiltedInformation> JointSystem::told(std::size_t compass) const {
  if (own_ == kSwingParameters) return std::nullopt;
  const std::size_t n = own_;
  std::vector<double> lower(n * n);
  for (std::size_t p = 0; p < n; ++p) {
    for (std::size_t q = 0; q < n; ++q) {
      lower[p * n + q] = covariance_[(n * compass + p) * parameters_ + n * compass + q];
    }
  }
  if (!lower_root_in_place(lower, n)) return std::nullopt;
  // The inverse: row p of L^-1 (solve_lower) with itself.
  std::vector<double> root(n * n, 0.0);
  for (std::size_t p = 0; p < n; ++p) {
    root[p * n + p] = 1.0;
    solve_lower(lower, n, &root[p * n]);
  }
  const auto inverse = [&](std::size_t p, std::size_t q) {
    double sum = 0.0;
    for (std::size_t l = 0; l < n; ++l) sum += root[p * n + l] * root[q * n + l];
    return sum;
  };
  TiltedInformation out;
  for (std::size_t p = 0; p < kSwingParameters; ++p) {
    for (std::size_t q = 0; q < kSwingParameters; ++q) out.parameters[p][q] = inverse(p, q);
    for (std::size_t t = 0; t < kTiltNumbers; ++t) {
      out.tilt.across[t][p] = inverse(kSwingParameters + t, p);
    }
  }
  for (std::size_t t = 0; t < kTiltNumbers; ++t) {
    for (std::size_t u = 0; u < kTiltNumbers; ++u) {
      out.tilt.information[t][u] =
          inverse(kSwingParameters + t, kSwingParameters + u) - tilt_precision()[t][u];
    }
  }
  return out;
}

}  // namespace qn
