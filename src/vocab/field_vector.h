// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <cmath>
#include <cstddef>

namespace qn {

using Vector3 = std::array<double, 3>;
using Matrix3 = std::array<std::array<double, 3>, 3>;  // rows

/// A magnetic flux density expressed in Frame. Microtesla.
template <class Frame>
class FieldVector {
 public:
  constexpr FieldVector() = default;
  static constexpr FieldVector microtesla(double x, double y, double z) {
    return FieldVector{Vector3{x, y, z}};
  }
  static constexpr FieldVector microtesla(const Vector3& v) { return FieldVector{v}; }
  constexpr const Vector3& in_uT() const { return uT_; }
  double magnitude_uT() const { return std::hypot(uT_[0], uT_[1], uT_[2]); }

  friend constexpr FieldVector operator+(const FieldVector& a, const FieldVector& b) {
    return microtesla(a.uT_[0] + b.uT_[0], a.uT_[1] + b.uT_[1], a.uT_[2] + b.uT_[2]);
  }
  friend constexpr FieldVector operator-(const FieldVector& a, const FieldVector& b) {
    return microtesla(a.uT_[0] - b.uT_[0], a.uT_[1] - b.uT_[1], a.uT_[2] - b.uT_[2]);
  }
  friend constexpr bool operator==(const FieldVector&, const FieldVector&) = default;

 private:
  explicit constexpr FieldVector(const Vector3& uT) : uT_{uT} {}
  Vector3 uT_{};
};

/// A proper rotation; `R_to_from * vector_from` is a vector in To. Inner frames touch.
template <class To, class From>
class Rotation {
 public:
  static constexpr Rotation from_rows(const Matrix3& rows) { return Rotation{rows}; }
  static constexpr Rotation identity() {
    return Rotation{Matrix3{{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}}};
  }
  constexpr const Matrix3& rows() const { return rows_; }

  constexpr Vector3 apply(const Vector3& v) const {
    Vector3 out{};
    for (std::size_t i = 0; i < 3; ++i) {
      out[i] = rows_[i][0] * v[0] + rows_[i][1] * v[1] + rows_[i][2] * v[2];
    }
    return out;
  }
  friend constexpr FieldVector<To> operator*(const Rotation& R, const FieldVector<From>& b) {
    return FieldVector<To>::microtesla(R.apply(b.in_uT()));
  }

 private:
  explicit constexpr Rotation(const Matrix3& rows) : rows_{rows} {}
  Matrix3 rows_;
};

}  // namespace qn
