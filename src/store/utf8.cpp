// SPDX-License-Identifier: Apache-2.0
#include <cstddef>

#include "store/utf8_internal.h"

namespace qn {
namespace {

struct Lead {
  std::size_t follow;       // bytes that come after it
  unsigned char low, high;  // bounds of the first of them, which rule out overlong forms
};

// RFC 3629, section 4, the ABNF of UTF8-octets.
Lead lead_of(unsigned char byte) {
  if (byte >= 0x01 && byte <= 0x7F) return {0, 0, 0};
  if (byte >= 0xC2 && byte <= 0xDF) return {1, 0x80, 0xBF};
  if (byte == 0xE0) return {2, 0xA0, 0xBF};
  if (byte == 0xED) return {2, 0x80, 0x9F};
  if (byte >= 0xE1 && byte <= 0xEF) return {2, 0x80, 0xBF};
  if (byte == 0xF0) return {3, 0x90, 0xBF};
  if (byte >= 0xF1 && byte <= 0xF3) return {3, 0x80, 0xBF};
  if (byte == 0xF4) return {3, 0x80, 0x8F};
  return {4, 0, 0};
}

}  // namespace

bool is_utf8_text(std::string_view text) {
  for (std::size_t at = 0; at < text.size();) {
    const Lead lead = lead_of(static_cast<unsigned char>(text[at]));
    if (lead.follow > 3 || lead.follow >= text.size() - at) return false;
    for (std::size_t i = 1; i <= lead.follow; ++i) {
      const auto byte = static_cast<unsigned char>(text[at + i]);
      if (byte < (i == 1 ? lead.low : 0x80) || byte > (i == 1 ? lead.high : 0xBF)) return false;
    }
    at += lead.follow + 1;
  }
  return true;
}

}  // namespace qn
