// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <compare>

namespace qn {

class Length {
 public:
  constexpr Length() = default;
  static constexpr Length metres(double m) { return Length{m}; }
  static constexpr Length feet(double ft) { return Length{ft * 0.3048}; }  // exact by definition
  constexpr double in_m() const { return m_; }
  friend constexpr Length operator+(Length a, Length b) { return Length{a.m_ + b.m_}; }
  friend constexpr Length operator-(Length a, Length b) { return Length{a.m_ - b.m_}; }
  friend constexpr auto operator<=>(Length, Length) = default;

 private:
  explicit constexpr Length(double m) : m_{m} {}
  double m_ = 0.0;
};

}  // namespace qn
