// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <limits>
#include <numeric>
#include <vector>

#include "procedure/sensor_reject_internal.h"
#include "simulate/random.h"

using qn::sensor_model::reject_stretches;

namespace {

constexpr double kGross = 4.5;

std::vector<double> seconds(std::size_t count, double step_s) {
  std::vector<double> out(count);
  for (std::size_t k = 0; k < count; ++k) out[k] = step_s * static_cast<double>(k);
  return out;
}

struct Rejected {
  std::size_t count = 0;
  std::vector<std::size_t> which;
};

Rejected reject(const std::vector<double>& time_s, const std::vector<double>& residual,
                double sigma) {
  std::vector<unsigned char> use;
  Rejected out;
  out.count = reject_stretches(time_s, {{&residual, sigma}}, kGross, use);
  REQUIRE(use.size() == time_s.size());
  for (std::size_t k = 0; k < use.size(); ++k) {
    if (!use[k]) out.which.push_back(k);
  }
  CHECK(out.count == out.which.size());
  return out;
}

std::vector<std::size_t> range(std::size_t from, std::size_t to) {
  std::vector<std::size_t> out(to - from + 1);
  std::iota(out.begin(), out.end(), from);
  return out;
}

// Small, with means near nothing: plus and minus by turns.
std::vector<double> calm(std::size_t count) {
  std::vector<double> out(count);
  for (std::size_t k = 0; k < count; ++k) out[k] = k % 2 == 0 ? 0.1 : -0.1;
  return out;
}

bool includes(const std::vector<std::size_t>& whole, const std::vector<std::size_t>& part) {
  return std::includes(whole.begin(), whole.end(), part.begin(), part.end());
}

}  // namespace

TEST_CASE("a single spike goes alone, either sign, also at the ends", "[procedure][closed-form]") {
  const auto t = seconds(100, 0.5);
  std::vector<double> r(100, 0.1);
  r[0] = 50.0;
  r[40] = -50.0;
  r[99] = 50.0;
  CHECK(reject(t, r, 1.0).which == std::vector<std::size_t>{0, 40, 99});
}

TEST_CASE("two neighbours go, and only they", "[procedure][closed-form]") {
  const auto t = seconds(100, 0.5);
  std::vector<double> r(100, 0.1);
  r[40] = r[41] = 9.0;
  CHECK(reject(t, r, 1.0).which == std::vector<std::size_t>{40, 41});
}

TEST_CASE("something that passed takes its skirts along", "[procedure][closed-form]") {
  // Gross from 300 to 319 (1 s), with skirts of half a second that no single sample shows.
  std::vector<double> r = calm(600);
  for (std::size_t k = 290; k < 330; ++k) r[k] += 1.0;
  for (std::size_t k = 300; k < 320; ++k) r[k] = 9.0;
  const auto out = reject(seconds(600, 0.05), r, 1.0).which;
  CHECK(includes(out, range(290, 329)));
  // The short means reach a quarter of a second, five samples, over the skirts.
  CHECK(includes(range(285, 334), out));
}

TEST_CASE("skirts longer than the passage itself are not followed", "[procedure][closed-form]") {
  // Gross for 0.95 s, the whole recording off by a little: not the whole of it goes.
  std::vector<double> r = calm(600);
  for (std::size_t k = 200; k < 420; ++k) r[k] += 1.0;
  for (std::size_t k = 300; k < 320; ++k) r[k] = 9.0;
  CHECK(reject(seconds(600, 0.05), r, 1.0).which == range(281, 338));
}

TEST_CASE("gross samples up to a second apart are one passage", "[procedure][closed-form]") {
  const auto t = seconds(120, 0.5);
  std::vector<double> r(120, 0.1);
  r[50] = r[52] = r[54] = 9.0;
  CHECK(reject(t, r, 1.0).which == range(50, 54));
  std::vector<double> apart(120, 0.1);
  apart[50] = apart[53] = apart[56] = 9.0;  // 1.5 s between them: three spikes
  CHECK(reject(t, apart, 1.0).which == std::vector<std::size_t>{50, 53, 56});
}

TEST_CASE("a passage at the start or the end stops there", "[procedure][closed-form]") {
  std::vector<double> r = calm(400);
  for (std::size_t k = 0; k < 20; ++k) r[k] = r[399 - k] = 9.0;
  const auto out = reject(seconds(400, 0.05), r, 1.0).which;
  CHECK(includes(out, range(0, 19)));
  CHECK(includes(out, range(380, 399)));
  CHECK(out.size() <= 40 + 2 * 5);
}

TEST_CASE("the limit counts in sigmas of each kind, and missing residuals say nothing",
          "[procedure][closed-form]") {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  const auto t = seconds(5, 10.0);
  const std::vector<double> size{0.0, 4.4, 4.6, nan, 0.0};
  const std::vector<double> level{0.0, 0.0, 0.0, 0.0, 0.046};
  const std::vector<double> none;
  std::vector<unsigned char> use;
  CHECK(reject_stretches(t, {{&size, 1.0}, {&none, 1.0}, {&level, 0.01}}, kGross, use) == 2);
  CHECK(use == std::vector<unsigned char>{1, 1, 0, 1, 0});
}

TEST_CASE("earlier marks are forgotten; nothing to reject rejects nothing",
          "[procedure][closed-form]") {
  const auto t = seconds(4, 1.0);
  const std::vector<double> calm(4, 0.2);
  std::vector<unsigned char> use{0, 0};
  CHECK(reject_stretches(t, {{&calm, 1.0}}, kGross, use) == 0);
  CHECK(use == std::vector<unsigned char>(4, 1));
  CHECK(reject_stretches({}, {{&calm, 1.0}}, kGross, use) == 0);
  CHECK(use.empty());
}

TEST_CASE("passing steel is gone down to about the noise", "[procedure][synthetic]") {
  // The passing dipole of the reason in the code: 20 sigma at its peak, half width T = 2 s. Alone,
  // gross samples would leave 4.5 sigma of it.
  qn::simulate::Random random{3};
  const auto t = seconds(1200, 0.05);
  std::vector<double> steel(t.size());
  std::vector<double> r(t.size());
  for (std::size_t k = 0; k < t.size(); ++k) {
    const double x = (t[k] - 30.0) / 2.0;
    steel[k] = 20.0 * std::pow(1.0 + x * x, -1.5);
    r[k] = steel[k] + random.normal();
  }
  std::vector<unsigned char> use;
  reject_stretches(t, {{&r, 1.0}}, kGross, use);
  double worst = 0.0;
  std::size_t kept = 0;
  for (std::size_t k = 0; k < t.size(); ++k) {
    if (!use[k]) continue;
    worst = std::max(worst, steel[k]);
    ++kept;
  }
  CHECK(worst < 1.5);
  CHECK(kept > t.size() / 2);
}
