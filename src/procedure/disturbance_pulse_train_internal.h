// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <cstddef>
#include <optional>
#include <vector>

#include "estimation/pulse_fit.h"
#include "procedure/disturbance_fold_internal.h"

namespace qn::disturbance {

/// A device's pulses, microtesla over the pause. Where rectangles fit they tell what is pulse and
/// what is pause far more finely than a mean at each phase of the period does, and so the mean over
/// whole periods.
struct PulseTrain {
  Pulses shape;
  std::vector<std::optional<double>> pulse_s;  ///< when one pulse of each stretch begins; none seen
};

/// Fits pulses to stretches whose period is known roughly, by least squares in the time each piece
/// was in a pulse.
///
/// noise_uT2  variance of a fine piece at rest
/// pulses     the device is known to: then two pulses in a visit are believed
/// returns    nothing where pulses leave clearly more than the folds in `found` do: then the shape
///            is another
std::optional<PulseTrain> fit_pulse_train(const Series& series,
                                          const std::vector<Stretch>& stretches,
                                          const Repeating& found, const Vector3& noise_uT2,
                                          bool pulses);

/// Whole periods, from the beginning of the first pulse.
struct TrainExtent {
  double from_s = 0.0;
  std::size_t periods = 0;
  double cut_short = 0.0;  ///< of one more pulse that follows: how large it is seen, of 1
};

/// The first and the last whole period of the train in which a pulse is there, looked for outwards
/// from `from_s`, `to_s`, where it is there, over a few seconds at most.
///
/// above_rest_uT  what each fine piece from `first` on shows above rest, all else taken out
/// returns        nothing where a single pulse cannot be told from none
std::optional<TrainExtent> extent_of(const PulseTrain& train, double pulse_s, const Pieces& fine,
                                     std::size_t first,
                                     const std::array<std::vector<double>, 3>& above_rest_uT,
                                     const Vector3& noise_uT2, double from_s, double to_s);

/// Evens out the train within its extent: what is left of it there is its mean. A pulse cut short
/// after it is taken out whole.
void even_out(Pieces& pieces, const PulseTrain& train, const TrainExtent& extent);

}  // namespace qn::disturbance
