// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "simulate/random.h"
#include "vocab/field_vector.h"

namespace qn::simulate {

/// The sum of noise independent from sample to sample and noise with a memory, AR(1): its
/// correlation is exp(-dt / correlation time). Three independent axes, the sensor's.
struct NoiseTruth {
  double white_sigma_uT = 0.0;
  double slow_sigma_uT = 0.0;
  double slow_correlation_time_s = 0.0;  ///< 0: that part is white, too
};

/// A stationary run of such noise; ask for increasing times, any spacing.
class Noise {
 public:
  Noise(const NoiseTruth& truth, const Random& random) : truth_{truth}, random_{random} {}
  Vector3 at(double time_s);

 private:
  NoiseTruth truth_;
  Random random_;
  Vector3 slow_{};
  double last_time_s_ = 0.0;
  bool started_ = false;
};

}  // namespace qn::simulate
