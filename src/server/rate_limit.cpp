// SPDX-License-Identifier: Apache-2.0
#include "server/rate_limit.h"

#include <algorithm>

namespace qn {

bool RateLimit::take(const std::string& address, double now_s) {
  auto found = left_.find(address);
  if (found == left_.end()) {
    if (left_.size() >= kMostAddresses) forget_the_quiet(now_s);
    if (left_.size() >= kMostAddresses) return false;
    found = left_.emplace(address, Left{rate_.burst, now_s}).first;
  }
  Left& left = found->second;
  left.count = std::min(rate_.burst, left.count + (now_s - left.at_s) * rate_.per_s);
  left.at_s = now_s;
  if (left.count < 1.0) return false;
  left.count -= 1.0;
  return true;
}

void RateLimit::forget_the_quiet(double now_s) {
  std::erase_if(left_, [&](const auto& one) {
    const Left& left = one.second;
    return left.count + (now_s - left.at_s) * rate_.per_s >= rate_.burst;
  });
}

}  // namespace qn
