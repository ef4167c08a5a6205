// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <nlohmann/json.hpp>
#include <utility>

#include "vocab/verdict.h"

namespace qn {

/// A verdict as the documents of swing and air check have it (docs/formats/swing-json.md).
nlohmann::ordered_json verdict_json(const Verdict& verdict);
/// [lo, hi]
nlohmann::ordered_json pair_json(const std::pair<double, double>& band);

}  // namespace qn
