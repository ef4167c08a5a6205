// SPDX-License-Identifier: Apache-2.0
#include "estimation/noise_fit.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <cstdint>
#include <random>
#include <vector>

namespace {

// Normal numbers by the sum of twelve: the same on every machine, and close enough to normal for
// second moments.
class Normal {
 public:
  explicit Normal(std::uint32_t seed) : bits_{seed} {}
  double next() {
    double sum = -6.0;
    for (int i = 0; i < 12; ++i) sum += static_cast<double>(bits_()) / 4294967296.0;
    return sum;
  }

 private:
  std::mt19937 bits_;
};

struct Truth {
  double white, slow, time_constant_s;  // 1 sigma, 1 sigma, s
};

constexpr double kStep_s = 0.05;

// One parameter, a constant that the residuals hold 3 of.
qn::RowBlock series(const Truth& truth, std::size_t count, std::uint32_t seed) {
  Normal normal{seed};
  const double phi = std::exp(-kStep_s / truth.time_constant_s);
  double slow = truth.slow * normal.next();
  qn::RowBlock block;
  block.resize(count, 1);
  for (std::size_t k = 0; k < count; ++k) {
    block.time_s[k] = kStep_s * static_cast<double>(k);
    block.column(0)[k] = 1.0;
    block.residual()[k] = 3.0 + slow + truth.white * normal.next();
    slow = phi * slow + truth.slow * std::sqrt(1.0 - phi * phi) * normal.next();
  }
  return block;
}

// Mean and standard error of one figure over independent series.
class Mean {
 public:
  void add(double v) {
    ++n_;
    sum_ += v;
    square_ += v * v;
  }
  double value() const { return sum_ / n_; }
  double standard_error() const {
    return std::sqrt((square_ / n_ - value() * value()) / (n_ - 1.0));
  }

 private:
  double n_ = 0.0, sum_ = 0.0, square_ = 0.0;
};

const qn::SquareMatrix kNoPrior{1};

}  // namespace

TEST_CASE("white and slow noise of known sizes are told apart", "[estimation][synthetic]") {
  const Truth truth{0.3, 0.5, 0.8};
  Mean white, slow, log_time;
  for (std::uint32_t seed = 1; seed <= 24; ++seed) {
    const auto fit = qn::fit_noise({series(truth, 3000, seed)}, kNoPrior, {});
    white.add(fit.white_variance);
    slow.add(fit.slow_variance);
    log_time.add(std::log(fit.time_constant_s));
  }
  // The mean of 24 fits is within 4 of its standard errors, and those are small: a factor of 1.5 in
  // any of the three would show.
  CHECK(std::abs(white.value() - 0.09) < 4.0 * white.standard_error());
  CHECK(std::abs(slow.value() - 0.25) < 4.0 * slow.standard_error());
  // The search stops at a step of a twentieth in log time; that is its bias.
  CHECK(std::abs(log_time.value() - std::log(0.8)) < 4.0 * log_time.standard_error() + 0.05);
  CHECK(white.standard_error() < 0.01);
  CHECK(slow.standard_error() < 0.02);
  CHECK(log_time.standard_error() < 0.08);
}

TEST_CASE("white noise stays white", "[estimation][synthetic]") {
  const Truth truth{0.4, 0.0, 1.0};
  Mean all, memory_s;
  for (std::uint32_t seed = 1; seed <= 24; ++seed) {
    const auto fit = qn::fit_noise({series(truth, 2000, seed)}, kNoPrior, {});
    all.add(fit.variance());
    memory_s.add(fit.correlation_time_s());
  }
  // Variance of a variance: 2 v^2 / n, n = 48 000.
  CHECK(all.value() == Approx(0.16).margin(4.0 * 0.16 * std::sqrt(2.0 / 48000.0)));
  // Less than one sample: as good as none.
  CHECK(memory_s.value() < kStep_s);
}

TEST_CASE("what the parameters have swallowed is given back", "[estimation][closed-form]") {
  // Four samples are too few to look for slow noise. 1, 2, 3 and 6 lie -2, -1, 0 and 3 off their
  // mean: 14 in squares. A free mean takes one of four degrees of freedom.
  qn::RowBlock block;
  block.resize(4, 1);
  for (std::size_t k = 0; k < 4; ++k) {
    block.time_s[k] = kStep_s * static_cast<double>(k);
    block.column(0)[k] = 1.0;
  }
  const double values[] = {1.0, 2.0, 3.0, 6.0};
  std::copy(values, values + 4, block.residual());
  const auto free = qn::fit_noise({block}, kNoPrior, {});
  CHECK(free.white_variance == Approx(14.0 / 3.0));
  CHECK(free.slow_variance == 0.0);
  // A mean that is known beforehand to be nothing takes none: 1 + 4 + 9 + 36 = 50, over four.
  qn::SquareMatrix known{1};
  known(0, 0) = 1e12;
  CHECK(qn::fit_noise({block}, known, {}).white_variance == Approx(50.0 / 4.0));
}

TEST_CASE("the unit of the residuals scales the answer and nothing else",
          "[estimation][closed-form]") {
  auto block = series({0.3, 0.5, 0.8}, 2000, 77);
  const auto one = qn::fit_noise({block}, kNoPrior, {});
  for (std::size_t k = 0; k < block.rows; ++k) block.residual()[k] *= 1000.0;
  const auto thousand = qn::fit_noise({block}, kNoPrior, {});
  CHECK(thousand.white_variance == Approx(1e6 * one.white_variance));
  CHECK(thousand.slow_variance == Approx(1e6 * one.slow_variance));
  CHECK(thousand.time_constant_s == Approx(one.time_constant_s));
}

TEST_CASE("rows that are not in use do not count", "[estimation][closed-form]") {
  auto block = series({0.3, 0.5, 0.8}, 2000, 78);
  auto spoiled = block;
  for (std::size_t k = 100; k < 200; ++k) {
    block.use[k] = spoiled.use[k] = 0;
    spoiled.residual()[k] = 1e6;
  }
  const auto clean = qn::fit_noise({block}, kNoPrior, {});
  const auto same = qn::fit_noise({spoiled}, kNoPrior, {});
  CHECK(same.white_variance == clean.white_variance);
  CHECK(same.time_constant_s == clean.time_constant_s);
}

TEST_CASE("noise with a longer memory than the model widens the bands",
          "[estimation][closed-form]") {
  // 40 groups of 10; every group's sum is +-20, so that the mean square of sum / sqrt(10) is 40.
  std::vector<double> e;
  for (int g = 0; g < 40; ++g) {
    for (int k = 0; k < 10; ++k) e.push_back(g % 2 == 0 ? 2.0 : -2.0);
  }
  CHECK(qn::long_memory_inflation(e, 10) == Approx(40.0));
  // Plus and minus by turns: the sums are nothing, and bands never become narrower.
  for (std::size_t k = 0; k < e.size(); ++k) e[k] = k % 2 == 0 ? 1.0 : -1.0;
  CHECK(qn::long_memory_inflation(e, 10) == 1.0);
  // Seven groups are too few to tell, and no group at all is none.
  CHECK(qn::long_memory_inflation(std::vector<double>(70, 2.0), 10) == 1.0);
  CHECK(qn::long_memory_inflation({}, 10) == 1.0);
  CHECK(qn::long_memory_inflation(std::vector<double>(70, 2.0), 0) == 1.0);
}

TEST_CASE("white residuals are seldom called long in memory", "[estimation][synthetic]") {
  // 0.5 % by chance: of 400 series 2 are expected; 9 or more have a chance below 1 in 4000.
  int widened = 0;
  for (std::uint32_t seed = 1; seed <= 400; ++seed) {
    Normal normal{seed};
    std::vector<double> e(1000);
    for (double& v : e) v = normal.next();
    if (qn::long_memory_inflation(e, 20) > 1.0) ++widened;
  }
  CHECK(widened <= 8);
}
