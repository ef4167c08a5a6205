// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>

#include "procedure/heading_run.h"
#include "procedure/heading_vectors_internal.h"
#include "vocab/expects.h"

namespace qn::heading_only {
namespace {

struct Sums {
  SquareMatrix information;
  std::vector<double> right;
};

// Adds one log: residuals f = b_x sin z + b_y cos z + H sin(eps) of all its angles together.
void add_log(const TurnedDisplay& log, const std::vector<Vector3>& b, double horizontal_uT,
             Sums& sums) {
  const std::size_t n = log.turned_rad.size();
  std::vector<double> sine(n), cosine(n), along(n), change(n), wanted(n);
  for (std::size_t i = 0; i < n; ++i) {
    const double eps = log.turned_rad[i];
    const double z = log.aircraft_heading_rad + eps;
    sine[i] = std::sin(z);
    cosine[i] = std::cos(z);
    wanted[i] = -horizontal_uT * std::sin(eps);
    const Vector3& field = b[log.field[i]];
    along[i] = field[0] * cosine[i] - field[1] * sine[i];  // df/dz
    // df/deps is what the sensor sees along the needle; where nothing is left, any angle will do.
    const double needle = along[i] + horizontal_uT * std::cos(eps);
    change[i] = std::copysign(std::max(std::abs(needle), 0.05 * horizontal_uT), needle);
  }
  SquareMatrix covariance{n};
  const double heading = log.heading_sigma_rad * log.heading_sigma_rad;
  for (std::size_t i = 0; i < n; ++i) {
    for (std::size_t j = 0; j < n; ++j) {
      covariance(i, j) =
          change[i] * change[j] * log.covariance_rad2(i, j) + heading * along[i] * along[j];
    }
  }
  const SquareMatrix weight = inverse(covariance);
  QN_EXPECTS(weight.size == n);
  for (std::size_t i = 0; i < n; ++i) {
    const std::size_t p = 2 * log.field[i];
    for (std::size_t j = 0; j < n; ++j) {
      const std::size_t q = 2 * log.field[j];
      const double w = weight(i, j);
      sums.information(p, q) += w * sine[i] * sine[j];
      sums.information(p, q + 1) += w * sine[i] * cosine[j];
      sums.information(p + 1, q) += w * cosine[i] * sine[j];
      sums.information(p + 1, q + 1) += w * cosine[i] * cosine[j];
      sums.right[p] += w * sine[i] * wanted[j];
      sums.right[p + 1] += w * cosine[i] * wanted[j];
    }
  }
}

}  // namespace

JointFields horizontal_fields(const std::vector<TurnedDisplay>& logs, std::size_t fields,
                              double horizontal_uT) {
  std::vector<Vector3> b(fields, Vector3{});
  SquareMatrix covariance;
  constexpr int kLooks = 4;  // the weights depend a little on the fields themselves
  for (int look = 0; look < kLooks; ++look) {
    Sums sums{SquareMatrix{2 * fields}, std::vector<double>(2 * fields, 0.0)};
    for (std::size_t p = 0; p < 2 * fields; ++p) {
      sums.information(p, p) = 1.0 / (kUnseen_uT * kUnseen_uT);
    }
    for (const TurnedDisplay& log : logs) add_log(log, b, horizontal_uT, sums);
    covariance = inverse(sums.information);
    QN_EXPECTS(covariance.size == 2 * fields);
    for (std::size_t k = 0; k < fields; ++k) {
      for (std::size_t a = 0; a < 2; ++a) {
        b[k][a] = 0.0;
        for (std::size_t p = 0; p < 2 * fields; ++p) {
          b[k][a] += covariance(2 * k + a, p) * sums.right[p];
        }
      }
    }
  }
  JointFields out;
  out.field_uT = b;
  out.covariance_uT2 = SquareMatrix{3 * fields};
  for (std::size_t i = 0; i < fields; ++i) {
    for (std::size_t j = 0; j < fields; ++j) {
      for (std::size_t a = 0; a < 2; ++a) {
        for (std::size_t c = 0; c < 2; ++c) {
          out.covariance_uT2(3 * i + a, 3 * j + c) = covariance(2 * i + a, 2 * j + c);
        }
      }
    }
    out.covariance_uT2(3 * i + 2, 3 * i + 2) = kUnseen_uT * kUnseen_uT;
  }
  return out;
}

Vector3 part_seen(double aircraft_heading_rad, double turned_rad, double horizontal_uT) {
  const double z = aircraft_heading_rad + turned_rad;
  const double size = -horizontal_uT * std::sin(turned_rad);
  return {size * std::sin(z), size * std::cos(z), 0.0};
}

}  // namespace qn::heading_only
