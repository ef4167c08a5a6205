// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <string_view>

namespace qn {

/// CRC-32C (Castagnoli) of RFC 3720: reflected polynomial 0x82f63b78, start and end inverted.
/// before  the checksum of what stands in front, to go on from; 0 at the start
std::uint32_t crc32c(std::string_view bytes, std::uint32_t before = 0);

}  // namespace qn
