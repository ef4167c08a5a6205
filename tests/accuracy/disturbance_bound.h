// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <vector>

#include "simulate/disturbance_recording_maker.h"
#include "vocab/field_vector.h"

namespace qn::accuracy {

/// How well one state's field could be known, whoever asks.
struct StateBound {
  std::size_t visits = 0;  ///< that really took place, whatever the mark said
  Vector3 sd_uT{};         ///< of the settled field; NaN without a visit
  Vector3 finding_uT{};    ///< the same when the moments have to be found too
};

/// Variance, in samples, of the moment of a step in white noise: `jump` is its length over the
/// noise of a sample (all axes), `prior_sd` what is known of the moment beforehand, in samples.
///
/// For a clear step this is Pitman's best estimator, 19.2 / jump^4 (Ibragimov and Hasminskii 1981,
/// from memory); for a weak one the prior's own variance. In between the three terms were fitted to
/// simulated posteriors, which they meet to a tenth (disturbance_bound_test.cpp).
double moment_variance(double jump, double prior_sd);

/// The Cramer-Rao bound of an estimator that knows everything but sizes: the switch moments, what
/// was worked at each mark, the noise's size and colour, when the unplanned things came and their
/// shape.
///
/// Worked out apart from any estimator, sample by sample: the simulator's own shapes (steps,
/// pulses, inrush, heating, warm-up, unplanned events) are columns; noise (white, first-order
/// autoregressive, rounding as q^2/12, vibration) and the wandering of the rest field are whitened
/// exactly by a Kalman filter of level, slope and slow noise. Not known are: every size, the rest
/// field, warm-up's size and time constant (with the spread they are drawn from), what each
/// combination shows, pulses' depth and motors' inrush. Left out are spikes, steel on its way, and
/// the moments between the first and the last switch of a combination. Where the airframe may move
/// with the device, the spread of that tilt is added, since nothing in the log tells the two apart.
///
/// What not knowing the moments costs: to first order a moment that is off by d samples is a
/// reading that is off by d times the jump, at the switch. With h what one such reading does to a
/// size (from the same columns and covariance), the size's variance grows by the sum over all
/// switches of (h jump)^2 times the moment's variance. The prior is the jitter of the marks,
/// without the few that are far off, about a known common delay; noise with a memory counts for
/// nothing within the time that a moment is unknown. Both make this a little too good to be true.
///
/// returns  [device][state], the reference state's entry empty
std::vector<std::vector<StateBound>> disturbance_bound(const simulate::SimulatedRun& made);

}  // namespace qn::accuracy
