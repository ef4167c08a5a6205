// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "procedure/disturbance_run.h"
#include "report/honest_bars.h"
#include "report/sheet_frame.h"
#include "report/sheet_text.h"

namespace qn {

// What the sheet of a disturbance run says in words.

/// "a" to "z", then "aa": how an unexplained thing is called on the plot and in the list.
std::string letter_of(std::size_t index);
/// Elapsed: "03:42", "1:03:42".
std::string clock_words(double seconds);
/// "left landing light, on"; the state only where there is more than one beside the reference.
std::string device_and_state(const DeviceEffect& device);
std::string phase_words(const CombinationEffect& together);

/// Where, how long, how noisy; the Earth's field.
std::string run_facts(const DisturbanceRun& run);

/// One for each device, numbered as on the trace; devices without states are left out.
std::vector<HonestBar> device_bars(const DisturbanceRun& run);
/// One for each phase, the largest upper end first.
std::vector<HonestBar> together_bars(const DisturbanceRun& run);
std::vector<const CombinationEffect*> worst_first(const std::vector<CombinationEffect>& all);

TextList not_explained(const DisturbanceRun& run);
/// Cures in their order, then what would settle what is unproven.
TextList what_to_do(const DisturbanceRun& run);
Framed disturbance_caution();
Framed disturbance_next_step(const DisturbanceRun& run);
/// Everything at once against the sum, assumptions, what was found; for the last sheet.
std::vector<TextList> run_remarks(const DisturbanceRun& run);

}  // namespace qn
