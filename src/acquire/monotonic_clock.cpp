// SPDX-License-Identifier: Apache-2.0
#include "acquire/monotonic_clock.h"

#include <time.h>

namespace qn {
namespace {

long long boot_us() {
  timespec now{};
  ::clock_gettime(CLOCK_BOOTTIME, &now);  // cannot fail with this clock and a good pointer
  return static_cast<long long>(now.tv_sec) * 1000000 + now.tv_nsec / 1000;
}

}  // namespace

BootClock::BootClock(double speed) : start_us_{boot_us()}, speed_{speed} {}

double BootClock::now_s() const {
  return speed_ * static_cast<double>(boot_us() - start_us_) / 1e6;
}

}  // namespace qn
