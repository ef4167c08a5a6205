// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>

#include "vocab/result.h"

namespace qn {

/// The bytes of a file that its owner alone can read; none when it is missing or others can read
/// it.
std::optional<std::string> read_private_file(const std::string& path);

/// Writes such a file whole or not at all, readable by its owner alone from its first byte.
///
/// returns  why not; none: it is written
std::optional<std::string> write_private_file(const std::string& path, const std::string& bytes);

}  // namespace qn
