// SPDX-License-Identifier: Apache-2.0
#include "server/lan_options.h"

#include <chrono>

namespace qn {

double monotonic_s() {
  return std::chrono::duration<double>(std::chrono::steady_clock::now().time_since_epoch()).count();
}

std::int64_t system_clock_s() {
  return std::chrono::floor<std::chrono::seconds>(std::chrono::system_clock::now())
      .time_since_epoch()
      .count();
}

}  // namespace qn
