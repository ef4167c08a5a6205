// SPDX-License-Identifier: Apache-2.0
#include <catch2/catch.hpp>
#include <cmath>

#include "procedure/swing_maker.h"

using namespace qn;
using namespace qn::test;

namespace {

MadeSwing twelve_marks(double own_sigma_deg) {
  SwingCase drawn;
  drawn.stations = 12;
  drawn.rounding_deg = 0.0;
  drawn.reading_sigma_deg = 0.1;
  drawn.station_sigma_deg = 0.1;
  MadeSwing made = make_swing(drawn, 4711);
  for (SwingReading& r : made.readings) r.own_sigma_deg = own_sigma_deg;
  return made;
}

SwingCompass solved(const std::vector<SwingReading>& readings, std::size_t k = 0) {
  const auto solution = solve_swing(readings, {});
  REQUIRE(solution);
  return solution.value().compasses.at(k);
}

bool says(const SwingCompass& compass, const std::string& words) {
  for (const std::string& remark : compass.remarks) {
    if (remark.find(words) != std::string::npos) return true;
  }
  return false;
}

}  // namespace

TEST_CASE("readings that tell their own scatter are taken with it, down to a floor",
          "[procedure][closed-form]") {
  const SwingCompass fine = solved(twelve_marks(0.05).readings);
  CHECK(fine.reading_sigma_is_own);
  CHECK(fine.reading_sigma_deg == 0.3);  // a mean hides slow errors
  CHECK(says(fine, "0.05 deg (1 sigma): 0.30 deg is used"));
  const SwingCompass rough = solved(twelve_marks(0.8).readings);
  CHECK(rough.reading_sigma_deg == Approx(0.8));
  const SwingCompass assumed = solved(twelve_marks(std::nan("")).readings);
  CHECK_FALSE(assumed.reading_sigma_is_own);
  CHECK(assumed.reading_sigma_deg == 0.7);
  CHECK(fine.sigma_deg[1] < assumed.sigma_deg[1]);
}

TEST_CASE("one reading without its own scatter, and the compass is taken as assumed",
          "[procedure][closed-form]") {
  MadeSwing made = twelve_marks(0.05);
  made.readings[5].own_sigma_deg = std::nan("");  // it was mended by hand
  const SwingCompass compass = solved(made.readings);
  CHECK_FALSE(compass.reading_sigma_is_own);
  CHECK(compass.reading_sigma_deg == 0.7);
}

TEST_CASE("beside a compass that is read by eye the link's has its own scatter",
          "[procedure][synthetic]") {
  std::vector<SwingReading> both = twelve_marks(0.05).readings;
  for (SwingReading r : twelve_marks(std::nan("")).readings) {
    r.compass = "remote";
    r.indicated_deg = std::round(r.indicated_deg);
    r.row = both.size();
    both.push_back(r);
  }
  CHECK(solved(both, 0).reading_sigma_deg == 0.3);
  CHECK(solved(both, 1).reading_sigma_deg == 0.7);
  CHECK(solved(both, 0).sigma_deg[1] < solved(both, 1).sigma_deg[1]);
}
