// SPDX-License-Identifier: Apache-2.0
#include "accuracy/run_coverage.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <limits>

using namespace qn::accuracy;

namespace {

constexpr double kNone = std::numeric_limits<double>::quiet_NaN();

/// `hits` readings whose band holds the truth, `misses` whose does not.
std::vector<Reading> run_of(std::size_t hits, std::size_t misses) {
  std::vector<Reading> out;
  for (std::size_t i = 0; i < hits; ++i) out.push_back({"b", 0.0, -1.0, 1.0, 0.5, 1.0});
  for (std::size_t i = 0; i < misses; ++i) out.push_back({"b", 0.0, 1.0, 2.0, 1.5, 1.0});
  return out;
}

}  // namespace

TEST_CASE("each run counts once, however many readings it has", "[closed-form]") {
  RunCoverage table;
  table.add_run(run_of(10, 0));
  table.add_run(run_of(1, 1));
  CHECK(table.find("b")->share() == Approx(0.75));
  // The sd of 1 and 0.5 is 0.3536; over the root of two runs 0.25.
  CHECK(table.find("b")->standard_error() == Approx(0.25));
}

TEST_CASE("runs that hang together are not taken for many independent cases", "[synthetic]") {
  RunCoverage table;
  for (int i = 0; i < 60; ++i) table.add_run(i % 10 == 0 ? run_of(0, 20) : run_of(20, 0));
  // 90 % over 60 runs: 95 % is within three standard errors, though not of 1200 readings.
  CHECK(table.holds());
}

TEST_CASE("a table fails on coverage, on a check, on a run without an answer", "[synthetic]") {
  RunCoverage good;
  for (int i = 0; i < 20; ++i) good.add_run(run_of(19, 1));
  CHECK(good.holds());
  RunCoverage checked = good;
  checked.add_check("Something.", false);
  CHECK_FALSE(checked.holds());
  RunCoverage refused = good;
  refused.add_refusal("no");
  CHECK_FALSE(refused.holds());
  RunCoverage low;
  for (int i = 0; i < 20; ++i) low.add_run(run_of(17, 3));
  CHECK_FALSE(low.holds());
  CHECK(low.to_markdown("t", "How.").find("**coverage fails**") != std::string::npos);
}

TEST_CASE("the rms error is held against the bound where a limit is set", "[closed-form]") {
  RunCoverage table;
  for (int i = 0; i < 20; ++i) table.add_run(run_of(19, 1));
  const double rms = std::sqrt((19 * 0.25 + 2.25) / 20.0);
  CHECK(table.find("b")->rms_over_bound() == Approx(rms));
  CHECK(table.find("b")->case_by_case() == Approx(rms));
  table.set_gate("b", {0.93, 0.97, 0.95, 0.9 * rms});
  CHECK_FALSE(table.holds());
  table.set_gate("b", {0.93, 0.97, 0.95, 1.1 * rms});
  CHECK(table.holds());
}

TEST_CASE("a band that is not a number holds nothing", "[closed-form]") {
  RunCoverage table;
  table.add_run({{"b", 0.0, kNone, kNone, kNone, kNone}});
  CHECK(table.find("b")->share() == 0.0);
}
