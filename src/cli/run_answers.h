// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>

#include "app/live_run.h"
#include "vocab/result.h"

namespace qn {

/// What a line typed in a run means. Enter alone, or 1, is the answer that is asked for; 2 the
/// second most likely one; "ago 10" it was ten seconds ago; "did DEVICE" or "did DEVICE = STATE"
/// another was worked; "none" there is no such device; "no", "again", "pause", "go on", "stop";
/// "read 123" a reading of a display. Where a compass is asked about: "123" is what it shows, and
/// "standby 123" what another one shows, or did.
struct TypedAnswer {
  std::optional<RunAnswer> answer;
  std::optional<std::string> reading;
};

/// view   what was shown when it was typed
/// now_s  of the recording
/// errors OutOfRange: no such word, nothing is asked for at present; says what there is
Result<TypedAnswer> typed_answer(const std::string& line, const RunView& view, double now_s);

/// The sentence, and what can be answered, as lines for a terminal.
std::string prompt_text(const RunView& view);

}  // namespace qn
