// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <memory>

#include "acquire/decoder.h"

namespace qn {

/// Readings that a person types during a run: a heading in degrees, perhaps after the name of the
/// instrument: "123", "123.5", "123,5", "standby 095". 360 is taken as 0.
std::unique_ptr<LineReader> typed_line_reader();

}  // namespace qn
