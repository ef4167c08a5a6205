// SPDX-License-Identifier: Apache-2.0
#include "acquire/crc32c.h"

#include <array>

namespace qn {
namespace {

constexpr std::array<std::uint32_t, 256> make_table() {
  std::array<std::uint32_t, 256> table{};
  for (std::uint32_t i = 0; i < table.size(); ++i) {
    std::uint32_t value = i;
    for (int bit = 0; bit < 8; ++bit) {
      value = (value & 1u) != 0 ? (value >> 1) ^ 0x82f63b78u : value >> 1;
    }
    table[i] = value;
  }
  return table;
}

constexpr auto kTable = make_table();

}  // namespace

std::uint32_t crc32c(std::string_view bytes, std::uint32_t before) {
  std::uint32_t sum = ~before;
  for (const char c : bytes)
    sum = kTable[(sum ^ static_cast<unsigned char>(c)) & 0xffu] ^ (sum >> 8);
  return ~sum;
}

}  // namespace qn
