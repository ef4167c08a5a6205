// SPDX-License-Identifier: Apache-2.0
#include "simulate/noise.h"

#include <cmath>
#include <cstddef>

namespace qn::simulate {

Vector3 Noise::at(double time_s) {
  const bool remembers = started_ && truth_.slow_correlation_time_s > 0.0;
  const double phi =
      remembers ? std::exp(-(time_s - last_time_s_) / truth_.slow_correlation_time_s) : 0.0;
  const double fresh_sigma = truth_.slow_sigma_uT * std::sqrt(1.0 - phi * phi);
  started_ = true;
  last_time_s_ = time_s;
  Vector3 out{};
  for (std::size_t i = 0; i < 3; ++i) {
    slow_[i] = phi * slow_[i] + fresh_sigma * random_.normal();
    out[i] = slow_[i] + truth_.white_sigma_uT * random_.normal();
  }
  return out;
}

}  // namespace qn::simulate
