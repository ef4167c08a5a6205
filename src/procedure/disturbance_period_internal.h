// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <vector>

#include "procedure/disturbance_fold_internal.h"

namespace qn::disturbance {

using Spectrum = std::vector<float>;

/// Sum over axes and stretches of power over the noise's own: so many unit exponentials at each
/// frequency, three a stretch.
Spectrum joint_spectrum(const std::vector<Stretch>& stretches, const RestSpectrum& rest,
                        std::size_t padded);

/// Whatever shakes at all frequencies while it is on (an engine) has no period for that: measured
/// against the middle of its own spectrum, which a train's few lines do not move. At least 1.
double floor_of(const Spectrum& spectrum, double exponentials);

/// What is asked of a period.
struct PeriodSearch {
  double bin_Hz = 1.0;
  double lowest_Hz = 0.0;
  double exponentials = 3.0;  ///< at each frequency, by chance
  double least = 0.0;         ///< standard normal deviate beyond chance
};

struct FoundPeriod {
  double period_s = 0.0;  ///< 0: none
  double deviate = 0.0;
};
FoundPeriod strongest_period(const Spectrum& spectrum, const PeriodSearch& search);

/// Whether a closer look could find one: for a spectrum with little padding, in which a line
/// between two frequencies keeps two thirds of its power, and an overtone lies within half as many
/// frequencies as it has turns.
bool worth_a_look(const Spectrum& spectrum, const PeriodSearch& search);

}  // namespace qn::disturbance
