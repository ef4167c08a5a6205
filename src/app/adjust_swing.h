// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>

#include "app/swing_input.h"
#include "procedure/swing_adjust.h"
#include "vocab/result.h"

namespace qn {

/// One request for `quietnorth swing adjust`.
struct AdjustRequest {
  SwingRequest swing;
  std::optional<std::string> rule;  ///< halving | least-squares
  std::optional<double> standing_deg;
  bool mount_turns = false;
};

struct AdjustDocument {
  SwingAdjustments adjustments;
  SwingSource source;
};

/// errors  as read_swing_input; OutOfRange for the options of its own
Result<AdjustDocument> adjust_swing_file(const AdjustRequest& request);

/// Schema quietnorth/swing-adjust/1 (docs/formats/swing-adjust-json.md).
std::string to_json(const AdjustDocument& document);

}  // namespace qn
