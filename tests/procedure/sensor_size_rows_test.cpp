// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <limits>
#include <random>

#include "procedure/sensor_model_internal.h"

using namespace qn;
using namespace qn::sensor_model;

namespace {

// Readings all around an ellipsoid, with more noise than any sensor has, and a few at its middle.
Log readings(std::size_t count) {
  Log log;
  std::mt19937_64 random{3};
  std::normal_distribution<double> normal{0.0, 1.0};
  for (std::size_t k = 0; k < count; ++k) {
    log.time_s.push_back(0.02 * static_cast<double>(k));
    const double x = normal(random);
    const double y = normal(random);
    const double z = normal(random);
    const double size = (k % 97 == 5 ? 1.0 : 48.0) / std::sqrt(x * x + y * y + z * z);
    log.m[0].push_back(1.1 * size * x + 14.0 + normal(random));
    log.m[1].push_back(0.9 * size * y - 22.0 + normal(random));
    log.m[2].push_back(size * z + 9.0 + normal(random));
    log.use.push_back(static_cast<unsigned char>(k % 13 != 0));
  }
  return log;
}

double worst_difference(const std::vector<double>& a, const std::vector<double>& b) {
  double worst = a.size() == b.size() ? 0.0 : 1.0;
  for (std::size_t i = 0; i < std::min(a.size(), b.size()); ++i) {
    worst = std::max(worst, std::abs(a[i] - b[i]) / std::max(1.0, std::abs(b[i])));
  }
  return worst;
}

}  // namespace

// With roll and pitch columns in which nothing is known, a log says what it says without them, but
// its rows are made by the general code and not by the fast one.
TEST_CASE("rows without attitude are those of a log whose attitude is unknown everywhere",
          "[procedure][closed-form]") {
  const std::size_t count = 1000;  // several tiles and a rest
  Log plain = readings(count);
  Log general = plain;
  general.attitude = Attitude::logged;
  general.roll_rad.assign(count, std::numeric_limits<double>::quiet_NaN());
  general.pitch_rad = general.roll_rad;

  for (const auto symmetry :
       {Layout::Symmetry::full, Layout::Symmetry::horizontal, Layout::Symmetry::all}) {
    const Layout layout = Layout::make(symmetry, false, true, true);
    Parameters theta(layout.size, 0.0);
    for (std::size_t i = 0; i < 3; ++i) {
      for (std::size_t j = 0; j < 3; ++j) {
        theta[static_cast<std::size_t>(layout.matrix[i][j])] =
            i == j ? 1.0 - 0.05 * static_cast<double>(i) : 0.01 * static_cast<double>(i + 3 * j);
      }
      theta[static_cast<std::size_t>(layout.offset) + i] = 12.0 - 11.0 * static_cast<double>(i);
    }
    theta[static_cast<std::size_t>(layout.horizontal)] = 20.0;
    theta[static_cast<std::size_t>(layout.down)] = 44.0;

    for (const std::size_t stride : {std::size_t{1}, std::size_t{7}}) {
      // One after the other in the same memory, as a long log is done: nothing may be left over.
      Rows fast, slow;
      fill_rows(plain, layout, theta, 0.5, 0, 400, 1, fast);
      fill_rows(plain, layout, theta, 0.5, 3, count, stride, fast);
      fill_rows(general, layout, theta, 0.5, 3, count, stride, slow);
      CHECK(fast.dip_rows.rows == 0);
      CHECK(fast.size_rows.rows == slow.size_rows.rows);
      CHECK(worst_difference(fast.size_rows.columns, slow.size_rows.columns) < 1e-12);
      CHECK(worst_difference(fast.size_rows.turn, slow.size_rows.turn) < 1e-12);
      CHECK(fast.size_rows.time_s == slow.size_rows.time_s);
      CHECK(fast.size_rows.use == slow.size_rows.use);
    }
  }
}
