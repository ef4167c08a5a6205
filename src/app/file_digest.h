// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <string_view>

#include "vocab/result.h"

namespace qn {

/// SHA-256 (FIPS 180-4) as 64 lower-case hex digits.
Result<std::string> sha256_of(std::string_view bytes);

/// The same of a file, in pieces: memory stays flat.
/// errors  BadInput when the file cannot be read
Result<std::string> sha256_of_file(const std::string& path, const std::string& shown_name = "");

}  // namespace qn
