// SPDX-License-Identifier: Apache-2.0
#include "simulate/attitude.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <numbers>

#include "vocab/expects.h"

namespace qn::simulate {
namespace {

constexpr double kRad = std::numbers::pi / 180.0;

Matrix3 about_x(double deg) {
  const double c = std::cos(deg * kRad);
  const double s = std::sin(deg * kRad);
  return {{{1, 0, 0}, {0, c, s}, {0, -s, c}}};
}

Matrix3 about_y(double deg) {
  const double c = std::cos(deg * kRad);
  const double s = std::sin(deg * kRad);
  return {{{c, 0, -s}, {0, 1, 0}, {s, 0, c}}};
}

Matrix3 about_z(double deg) {
  const double c = std::cos(deg * kRad);
  const double s = std::sin(deg * kRad);
  return {{{c, s, 0}, {-s, c, 0}, {0, 0, 1}}};
}

}  // namespace

Matrix3 body_from_earth(const Attitude& a) {
  return product(product(about_x(a.roll_deg), about_y(a.pitch_deg)), about_z(a.heading_deg));
}

Attitude attitude_of(const Matrix3& R) {
  Attitude a;
  a.heading_deg = std::atan2(R[0][1], R[0][0]) / kRad;
  if (a.heading_deg < 0.0) a.heading_deg += 360.0;
  a.pitch_deg = -std::asin(std::clamp(R[0][2], -1.0, 1.0)) / kRad;
  a.roll_deg = std::atan2(R[1][2], R[2][2]) / kRad;
  return a;
}

Matrix3 body_from_earth_on_ground(double heading_deg, const Slope& slope, const DeckTilt& deck) {
  const double tan_north = std::tan(slope.north_deg * kRad);
  const double tan_east = std::tan(slope.east_deg * kRad);
  const double length = std::sqrt(1.0 + tan_north * tan_north + tan_east * tan_east);
  const double c = std::cos(heading_deg * kRad);
  const double s = std::sin(heading_deg * kRad);
  const double forward = (tan_north * c + tan_east * s) / length;
  const double right = (-tan_north * s + tan_east * c) / length;
  const double down = 1.0 / length;
  const Matrix3 wheels =
      body_from_earth({heading_deg, std::atan2(forward, down) / kRad, -std::asin(right) / kRad});
  return product(product(about_x(deck.roll_deg), about_y(deck.pitch_deg)), wheels);
}

Matrix3 product(const Matrix3& a, const Matrix3& b) {
  Matrix3 out{};
  for (std::size_t i = 0; i < 3; ++i) {
    for (std::size_t j = 0; j < 3; ++j) {
      out[i][j] = a[i][0] * b[0][j] + a[i][1] * b[1][j] + a[i][2] * b[2][j];
    }
  }
  return out;
}

Matrix3 transposed(const Matrix3& a) {
  return {{{a[0][0], a[1][0], a[2][0]}, {a[0][1], a[1][1], a[2][1]}, {a[0][2], a[1][2], a[2][2]}}};
}

Vector3 product(const Matrix3& a, const Vector3& v) {
  Vector3 out{};
  for (std::size_t i = 0; i < 3; ++i) out[i] = a[i][0] * v[0] + a[i][1] * v[1] + a[i][2] * v[2];
  return out;
}

Matrix3 inverted(const Matrix3& a) {
  Matrix3 cofactor{};
  for (std::size_t i = 0; i < 3; ++i) {
    for (std::size_t j = 0; j < 3; ++j) {
      const std::size_t i1 = (i + 1) % 3, i2 = (i + 2) % 3, j1 = (j + 1) % 3, j2 = (j + 2) % 3;
      cofactor[i][j] = a[i1][j1] * a[i2][j2] - a[i1][j2] * a[i2][j1];
    }
  }
  const double determinant =
      a[0][0] * cofactor[0][0] + a[0][1] * cofactor[0][1] + a[0][2] * cofactor[0][2];
  QN_EXPECTS(determinant != 0.0);
  Matrix3 out = transposed(cofactor);
  for (auto& row : out) {
    for (double& value : row) value /= determinant;
  }
  return out;
}

Matrix3 about_axis(const Vector3& k, double angle_rad) {
  const double c = std::cos(angle_rad);
  const double s = std::sin(angle_rad);
  const double t = 1.0 - c;
  return {{{c + k[0] * k[0] * t, k[0] * k[1] * t - k[2] * s, k[0] * k[2] * t + k[1] * s},
           {k[1] * k[0] * t + k[2] * s, c + k[1] * k[1] * t, k[1] * k[2] * t - k[0] * s},
           {k[2] * k[0] * t - k[1] * s, k[2] * k[1] * t + k[0] * s, c + k[2] * k[2] * t}}};
}

}  // namespace qn::simulate
