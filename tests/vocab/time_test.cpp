// SPDX-License-Identifier: Apache-2.0
#include "vocab/time.h"

#include <catch2/catch.hpp>

using qn::CalendarDate;
using qn::DecimalYear;

TEST_CASE("an ISO date is read and written", "[vocab][closed-form]") {
  const auto date = CalendarDate::parse("2026-05-14", "option --on");
  REQUIRE(date.has_value());
  CHECK(date.value().year() == 2026);
  CHECK(date.value().month() == 5);
  CHECK(date.value().day() == 14);
  CHECK(date.value().to_iso() == "2026-05-14");
  CHECK(CalendarDate::from_parts(800, 1, 2).value().to_iso() == "0800-01-02");
}

TEST_CASE("leap days follow the Gregorian rule", "[vocab][closed-form]") {
  CHECK(CalendarDate::from_parts(2028, 2, 29).has_value());
  CHECK(CalendarDate::from_parts(2000, 2, 29).has_value());
  CHECK_FALSE(CalendarDate::from_parts(2026, 2, 29).has_value());
  CHECK_FALSE(CalendarDate::from_parts(2100, 2, 29).has_value());
}

TEST_CASE("what is not a day is refused, showing it and where it stood", "[vocab][closed-form]") {
  for (const char* text :
       {"", "2026", "2026-05", "2026-5-14", "14.05.2026", "2026/05/14", "2026-13-01", "2026-00-10",
        "2026-04-31", "2026-05-00", "2026-05-1x", "-026-05-14", "2026-05-14T00", "2026--5-14",
        "+026-05-14", " 2026-05-14"}) {
    INFO("'" << text << "'");
    const auto date = CalendarDate::parse(text, "option --on");
    REQUIRE_FALSE(date.has_value());
    CHECK(date.error().kind == qn::ErrorKind::OutOfRange);
    CHECK(date.error().where == "option --on");
    CHECK(date.error().what.find(text) != std::string::npos);
  }
}

TEST_CASE("a decimal year counts the days of its own year", "[vocab][closed-form]") {
  const auto year = [](int y, int m, int d) {
    return DecimalYear::start_of(CalendarDate::from_parts(y, m, d).value()).in_years();
  };
  CHECK(year(2025, 1, 1) == 2025.0);
  CHECK(year(2030, 1, 1) == 2030.0);
  CHECK(year(2025, 12, 31) == 2025.0 + 364.0 / 365.0);
  CHECK(year(2028, 12, 31) == 2028.0 + 365.0 / 366.0);
  CHECK(year(2028, 7, 2) == 2028.5);  // 31 + 29 + 31 + 30 + 31 + 30 + 1 = 183 of 366 days
}

TEST_CASE("dates are ordered", "[vocab][closed-form]") {
  CHECK(CalendarDate::from_parts(2025, 12, 31).value() <
        CalendarDate::from_parts(2026, 1, 1).value());
  CHECK(qn::Duration::seconds(1) < qn::Duration::seconds(2));
}
