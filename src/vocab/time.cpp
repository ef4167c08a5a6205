// SPDX-License-Identifier: Apache-2.0
#include "vocab/time.h"

#include <charconv>
#include <chrono>
#include <cstdio>

namespace qn {
namespace {

Error not_a_day(const std::string& shown, std::string_view where) {
  return Error{ErrorKind::OutOfRange, "'" + shown + "' is not a day of the calendar",
               std::string{where}, "a date as YYYY-MM-DD, for example 2026-05-14",
               "write the day of the recording as year, month, day"};
}

// Exactly `digits` digits at `text[at]`, or -1.
int number_at(std::string_view text, std::size_t at, std::size_t digits) {
  int value = -1;
  const char* first = text.data() + at;
  const auto [end, ec] = std::from_chars(first, first + digits, value);
  const bool whole = ec == std::errc{} && end == first + digits && *first != '-';
  return whole ? value : -1;
}

}  // namespace

Result<CalendarDate> CalendarDate::from_parts(int year, int month, int day) {
  const std::chrono::year_month_day ymd{std::chrono::year{year},
                                        std::chrono::month{static_cast<unsigned>(month)},
                                        std::chrono::day{static_cast<unsigned>(day)}};
  if (month < 1 || day < 1 || !ymd.ok()) {
    const std::string shown =
        std::to_string(year) + "-" + std::to_string(month) + "-" + std::to_string(day);
    return not_a_day(shown, "date");
  }
  return CalendarDate{year, month, day};
}

Result<CalendarDate> CalendarDate::parse(std::string_view text, std::string_view where) {
  if (text.size() != 10 || text[4] != '-' || text[7] != '-') {
    return not_a_day(std::string{text}, where);
  }
  const int year = number_at(text, 0, 4);
  const int month = number_at(text, 5, 2);
  const int day = number_at(text, 8, 2);
  auto date = year < 0 || month < 0 || day < 0 ? Result<CalendarDate>{not_a_day("", where)}
                                               : from_parts(year, month, day);
  if (!date) return not_a_day(std::string{text}, where);
  return date;
}

std::string CalendarDate::to_iso() const {
  char text[32];
  std::snprintf(text, sizeof text, "%04d-%02d-%02d", year_, month_, day_);
  return text;
}

DecimalYear DecimalYear::start_of(const CalendarDate& date) {
  using namespace std::chrono;
  const auto day_number = [](int y, int m, int d) {
    return sys_days{year_month_day{std::chrono::year{y}, std::chrono::month{unsigned(m)},
                                   std::chrono::day{unsigned(d)}}};
  };
  const auto first = day_number(date.year(), 1, 1);
  const double days_in_year = double((day_number(date.year() + 1, 1, 1) - first).count());
  const double elapsed =
      double((day_number(date.year(), date.month(), date.day()) - first).count());
  return DecimalYear::years(date.year() + elapsed / days_in_year);
}

}  // namespace qn
