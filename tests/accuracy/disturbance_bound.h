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
};

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
/// returns  [device][state], the reference state's entry empty
std::vector<std::vector<StateBound>> disturbance_bound(const simulate::SimulatedRun& made);

}  // namespace qn::accuracy
