// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "app/fit_sensor_log.h"

namespace qn {

/// The answer for a person at a terminal: the sentence first, 80 columns wide.
std::string sensor_fit_text(const FitDocument& document);

}  // namespace qn
