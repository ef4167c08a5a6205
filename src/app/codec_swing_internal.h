// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <nlohmann/json.hpp>
#include <string>
#include <utility>
#include <vector>

#include "app/codec_verdict_internal.h"
#include "app/solve_swing.h"
#include "app/swing_input.h"
#include "procedure/swing_solve.h"

namespace qn {

// What the documents of the swing have in common.
using SwingJson = nlohmann::ordered_json;

SwingJson swing_text_or_null(const std::string& text);
SwingJson swing_doubts(const std::vector<DoubtfulReading>& readings);
SwingJson swing_source(const SwingSource& source);
SwingJson swing_box(const BoxNote& note);
SwingJson swing_loads_effect(const LoadsEffect& effect);
SwingJson swing_before(const SwingBefore& before);
SwingJson swing_iron(const SwingIron& iron, const LocalField& here);
SwingJson swing_forecast(const IronForecast& forecast, const SwingField& field);
std::string swing_dumped(const SwingJson& json);

}  // namespace qn
