// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "app/solve_swing.h"

namespace qn {

/// Schema quietnorth/swing/1 (docs/formats/swing-json.md). No NaN: what the swing cannot give is
/// null.
std::string to_json(const SwingDocument& document);

/// Schema quietnorth/card/1 (docs/formats/card-json.md).
std::string to_json(const CardDocument& document);

}  // namespace qn
