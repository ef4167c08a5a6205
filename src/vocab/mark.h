// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <string>
#include <string_view>

namespace qn {

/// "Now": the operator put `device` into `state` at about `time_s` of the recording.
///
/// device  a name of the equipment list; kEverything for all at once; "phase:NAME" for the normal
///         set of a flight phase at once
/// state   the state's name, or its number as text ("0", "1", "-1"); see state_number()
struct Mark {
  double time_s = 0.0;
  std::string device;
  std::string state;
  std::size_t line = 0;  ///< in the file, for messages; 0: not from a file
};

inline constexpr std::string_view kEverything = "*";
inline constexpr std::string_view kPhasePrefix = "phase:";

}  // namespace qn
