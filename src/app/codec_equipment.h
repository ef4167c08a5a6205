// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "vocab/equipment.h"
#include "vocab/result.h"

namespace qn {

/// Reads an equipment list (docs/formats/equipment.md): what the aircraft has that may disturb the
/// sensor. Names are the same in any capitals; `with` comes out as the device itself is written.
///
/// errors  BadInput naming line and column: no column device, a device without a name, twice the
///         same, called '*' or phase:...; an unknown kind; states with no off, twice the same, or
///         called by another state's number; a negative or zero time where none can be; `with` that
///         names no device, itself, or runs in a circle; optional neither yes nor no; no rows
Result<std::vector<Device>> read_equipment(const std::string& path,
                                           const std::string& shown_name = "");

/// The same from bytes at hand; `name` is used in messages.
Result<std::vector<Device>> parse_equipment(const std::string& bytes, const std::string& name);

/// The list as such a file, all columns, in the order given.
std::string equipment_csv(const std::vector<Device>& equipment);

}  // namespace qn
