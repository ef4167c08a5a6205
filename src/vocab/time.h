// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <compare>
#include <string>
#include <string_view>

#include "vocab/result.h"

namespace qn {

/// A span of time.
class Duration {
 public:
  constexpr Duration() = default;
  static constexpr Duration seconds(double s) { return Duration{s}; }
  constexpr double in_s() const { return s_; }
  friend constexpr auto operator<=>(Duration, Duration) = default;

 private:
  explicit constexpr Duration(double s) : s_{s} {}
  double s_ = 0.0;
};

/// A day of the proleptic Gregorian calendar.
class CalendarDate {
 public:
  /// errors  OutOfRange when the three numbers are not a day of the calendar
  static Result<CalendarDate> from_parts(int year, int month, int day);
  /// text    ISO 8601: 2026-05-14. `where` names the option or cell for the error.
  static Result<CalendarDate> parse(std::string_view text, std::string_view where);

  int year() const { return year_; }
  int month() const { return month_; }
  int day() const { return day_; }
  std::string to_iso() const;
  friend auto operator<=>(const CalendarDate&, const CalendarDate&) = default;

 private:
  CalendarDate(int year, int month, int day) : year_{year}, month_{month}, day_{day} {}
  int year_, month_, day_;
};

/// Years since the year 0 as the geomagnetic model counts them: 2026.5 is the middle of 2026.
class DecimalYear {
 public:
  static constexpr DecimalYear years(double y) { return DecimalYear{y}; }
  /// The start of that day, UTC, leap years counted.
  static DecimalYear start_of(const CalendarDate& date);
  constexpr double in_years() const { return y_; }
  friend constexpr auto operator<=>(DecimalYear, DecimalYear) = default;

 private:
  explicit constexpr DecimalYear(double y) : y_{y} {}
  double y_;
};

}  // namespace qn
