// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <map>
#include <string>

namespace qn {

/// So many a second from each address, and some at once after a pause.
class RateLimit {
 public:
  struct Rate {
    double per_s = 1.0;
    double burst = 1.0;
  };
  explicit RateLimit(Rate rate) : rate_{rate} {}

  /// returns  false: too many from there
  /// now_s    does not go backwards
  bool take(const std::string& address, double now_s);

 private:
  struct Left {
    double count = 0.0, at_s = 0.0;
  };
  void forget_the_quiet(double now_s);

  // More addresses than a hangar has. When it is full of busy ones, new ones have to wait.
  static constexpr std::size_t kMostAddresses = 1000;
  Rate rate_;
  std::map<std::string, Left> left_;
};

}  // namespace qn
