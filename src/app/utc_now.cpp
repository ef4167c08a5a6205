// SPDX-License-Identifier: Apache-2.0
#include "app/utc_now.h"

#include <fmt/format.h>

#include <chrono>
#include <cmath>
#include <cstdint>

namespace qn {
namespace {

using namespace std::chrono;

std::string to_the_second(sys_seconds at) {
  const auto day = floor<days>(at);
  const year_month_day date{day};
  const hh_mm_ss time{at - day};
  return fmt::format("{:04}-{:02}-{:02}T{:02}:{:02}:{:02}", static_cast<int>(date.year()),
                     static_cast<unsigned>(date.month()), static_cast<unsigned>(date.day()),
                     time.hours().count(), time.minutes().count(), time.seconds().count());
}

}  // namespace

std::string utc_now() { return to_the_second(floor<seconds>(system_clock::now())) + "Z"; }

std::string utc_text(double since_1970_s) {
  const auto tenths = static_cast<std::int64_t>(std::floor(since_1970_s * 10.0));
  const auto second = floor<seconds>(
      sys_time<duration<std::int64_t, std::deci>>{duration<std::int64_t, std::deci>{tenths}});
  return fmt::format("{}.{}Z", to_the_second(second),
                     tenths - 10 * second.time_since_epoch().count());
}

}  // namespace qn
