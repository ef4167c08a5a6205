// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "vocab/result.h"
#include "vocab/verdict.h"

namespace qn {

struct SwingCompass;
struct SwingOptions;

/// What is on, as one word for one state: "off", "on" (all there is), or names in alphabetical
/// order with '+' between them, in small letters. Accepts "Strobe + pitot" and "strobe|pitot".
///
/// errors  BadInput: "off" or "on" among names, a number, yes or no, a separator inside a name
Result<std::string> loads_state(const std::string& text);
/// The names of a state; none for "off", "on" and "".
std::vector<std::string> loads_named(const std::string& state);
/// Nothing is on, or nothing was said.
inline bool loads_are_off(const std::string& state) { return state.empty() || state == "off"; }

/// From here on a placard names the loads: 14 CFR 23.1547(e), 27.1547(e) (docs/sources.md).
inline constexpr double kNameLoads_deg = 10.0;

/// What one state of the loads does to one compass, beside what it shows with them off.
struct LoadsEffect {
  std::string compass, loads;
  double threshold_deg = kNameLoads_deg;  ///< that, or the limit of the compass where it is lower
  VerdictState state = VerdictState::unproven;  ///< of the largest deviation against it
  double worst_deviation_deg = 0.0, worst_at_deg = 0.0;
  std::pair<double, double> worst_95_deg{0.0, 0.0};
  /// Largest change of the deviation against off; nothing without a swing with loads off.
  std::optional<double> change_deg;
  double change_at_deg = 0.0;
  std::pair<double, double> change_95_deg{0.0, 0.0};
  bool takes_it_over = false;     ///< over with them, and within without
  bool which_unproven = false;    ///< several are on, and which of them does it is not told
  std::string sentence, on_card;  ///< the whole of it, and as few words as a card has room for
};

/// Every state but off of every compass that could be solved.
std::vector<LoadsEffect> loads_effects(const std::vector<SwingCompass>& compasses,
                                       const SwingOptions& options);

/// Judges and words them anew, by compasses whose largest deviations are others by now; what they
/// change of the deviation stays.
///
/// compasses  with every state that the effects are of
void judge_loads(std::vector<LoadsEffect>& effects, const std::vector<SwingCompass>& compasses);

}  // namespace qn
