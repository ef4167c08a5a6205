// SPDX-License-Identifier: Apache-2.0
#include "estimation/f_tail.h"

#include <cmath>

#include "vocab/expects.h"

namespace qn {
namespace {

// Beyond this many degrees of freedom the denominator is a known number.
constexpr double kMany = 1e7;

double continued_fraction(double x, double a, double b) {
  constexpr double kTiny = 1e-300;
  const auto away = [](double v) { return std::fabs(v) < kTiny ? kTiny : v; };
  double c = 1.0;
  double d = 1.0 / away(1.0 - (a + b) * x / (a + 1.0));
  double h = d;
  for (int i = 1; i <= 500; ++i) {
    const double m = i;
    double term = m * (b - m) * x / ((a + 2.0 * m - 1.0) * (a + 2.0 * m));
    d = 1.0 / away(1.0 + term * d);
    c = away(1.0 + term / c);
    h *= d * c;
    term = -(a + m) * (a + b + m) * x / ((a + 2.0 * m) * (a + 2.0 * m + 1.0));
    d = 1.0 / away(1.0 + term * d);
    c = away(1.0 + term / c);
    h *= d * c;
    if (std::fabs(d * c - 1.0) < 1e-14) break;
  }
  return h;
}

double incomplete_beta(double x, double a, double b) {
  if (x <= 0.0) return 0.0;
  if (x >= 1.0) return 1.0;
  const double front = std::exp(std::lgamma(a + b) - std::lgamma(a) - std::lgamma(b) +
                                a * std::log(x) + b * std::log1p(-x));
  if (x < (a + 1.0) / (a + b + 2.0)) return front * continued_fraction(x, a, b) / a;
  return 1.0 - front * continued_fraction(1.0 - x, b, a) / b;
}

}  // namespace

double f_tail(double f, double a, double b) {
  QN_EXPECTS(f >= 0.0 && a > 0.0 && b > 0.0);
  const double denominator = b > kMany ? kMany : b;
  return incomplete_beta(denominator / (denominator + a * f), 0.5 * denominator, 0.5 * a);
}

}  // namespace qn
