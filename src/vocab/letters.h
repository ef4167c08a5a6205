// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <string_view>

namespace qn {

/// Small letters of A to Z and nothing else, in any locale: for names that are the same in any
/// capitals.
inline std::string lower_case(std::string_view text) {
  std::string out{text};
  for (char& c : out) c = c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
  return out;
}

/// With a capital at its begin, for a sentence.
inline std::string capitalised(std::string text) {
  if (!text.empty() && text[0] >= 'a' && text[0] <= 'z') {
    text[0] = static_cast<char>(text[0] - 'a' + 'A');
  }
  return text;
}

}  // namespace qn
