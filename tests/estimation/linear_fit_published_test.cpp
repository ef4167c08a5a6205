// SPDX-License-Identifier: Apache-2.0
#include <catch2/catch.hpp>
#include <cmath>
#include <map>
#include <string>
#include <vector>

#include "estimation/normal_equations.h"
#include "support/check_file.h"

namespace {

struct Line {
  double at_origin = 0.0, slope = 0.0;
  double residual_squares = 0.0, residual_sd = 0.0;
  qn::SquareMatrix covariance;  // of the two, scaled by the residuals
};

// y = a + b (x - origin) through the project's own normal equations: one step from zero, as the
// problem is linear.
Line fit_line(const std::vector<double>& x, const std::vector<double>& y, double origin) {
  qn::NormalEquations equations{2};
  for (std::size_t k = 0; k < x.size(); ++k) equations.add_row({1.0, x[k] - origin}, -y[k], 1.0);
  const std::vector<double> found = qn::solve_step(equations, 0.0);
  Line line{found[0], found[1], 0.0, 0.0, qn::inverse(equations.information)};
  for (std::size_t k = 0; k < x.size(); ++k) {
    const double left = line.at_origin + line.slope * (x[k] - origin) - y[k];
    line.residual_squares += left * left;
  }
  const double variance = line.residual_squares / static_cast<double>(x.size() - 2);
  line.residual_sd = std::sqrt(variance);
  for (double& v : line.covariance.values) v *= variance;
  return line;
}

Line fit_readings(const std::string& name, const std::string& x_name, const std::string& y_name,
                  double origin, std::size_t points) {
  const auto readings = qn::test::read_check_file(name);
  REQUIRE(readings.cases.size() == points);
  std::vector<double> x;
  std::vector<double> y;
  for (const auto& row : readings.cases) {
    x.push_back(row.input.at(x_name));
    y.push_back(row.result.at(y_name));
  }
  return fit_line(x, y, origin);
}

void check(const std::string& name, const std::map<std::string, double>& found) {
  const auto file = qn::test::read_check_file(name);
  INFO(file.source);
  REQUIRE(file.results.size() == found.size());
  for (const auto& [column, expected] : file.cases.at(0).result) {
    CAPTURE(column);
    CHECK(std::abs(found.at(column) - expected) <= file.tolerance.at(column));
  }
}

}  // namespace

TEST_CASE("the Norris line has its certified values", "[estimation][published]") {
  const Line line = fit_readings("norris-readings.check", "x_1", "y_1", 0.0, 36);
  check("norris-certified.check", {{"B0_1", line.at_origin},
                                   {"sd_B0_1", std::sqrt(line.covariance(0, 0))},
                                   {"B1_1", line.slope},
                                   {"sd_B1_1", std::sqrt(line.covariance(1, 1))},
                                   {"residual_sd_1", line.residual_sd},
                                   {"residual_squares_1", line.residual_squares}});
}

TEST_CASE("the thermometer line of the GUM has its printed values", "[estimation][published]") {
  const Line line =
      fit_readings("gum-h3-readings.check", "temperature_C", "correction_C", 20.0, 11);
  const auto& v = line.covariance;
  const double at_30 = line.at_origin + 10.0 * line.slope;
  const auto at_30_variance = qn::propagate({1.0, 10.0}, 1, v);
  check("gum-h3-result.check", {{"y1_C", line.at_origin},
                                {"u_y1_C", std::sqrt(v(0, 0))},
                                {"y2_1", line.slope},
                                {"u_y2_1", std::sqrt(v(1, 1))},
                                {"r_1", v(0, 1) / std::sqrt(v(0, 0) * v(1, 1))},
                                {"s_C", line.residual_sd},
                                {"b30_C", at_30},
                                {"u_b30_C", std::sqrt(at_30_variance(0, 0))}});
}
