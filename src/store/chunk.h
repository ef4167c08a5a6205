// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "store/book_records.h"
#include "vocab/result.h"

namespace qn {

/// Pieces as they stand in the book: per piece the number of bytes (4 bytes) and the arrival (8
/// bytes, IEEE 754), both little-endian.
std::string packed(const std::vector<Piece>& pieces);
/// Nothing when these are no whole pieces.
std::optional<std::vector<Piece>> unpacked(std::string_view bytes);

/// SHA-256 over the raw bytes followed by the packed pieces: a changed time is found as well.
Result<std::string> chunk_sha256(std::string_view bytes, std::string_view pieces);

}  // namespace qn
