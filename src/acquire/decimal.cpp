// SPDX-License-Identifier: Apache-2.0
#include "acquire/decimal.h"

#include <charconv>
#include <string>
#include <system_error>

namespace qn {

std::optional<double> parse_number(std::string_view text) {
  if (text.size() > 1 && text.front() == '+' && text[1] != '-') text.remove_prefix(1);
  double value = 0.0;
  const char* const end = text.data() + text.size();
  const auto [next, problem] = std::from_chars(text.data(), end, value);
  if (problem != std::errc{} || next != end) return std::nullopt;
  return value;
}

std::optional<double> parse_number_with_comma(std::string_view text) {
  const std::size_t comma = text.find(',');
  // Beside a point a comma would stand between thousands, and could be meant either way.
  if (comma == std::string_view::npos || text.find('.') != std::string_view::npos) {
    return parse_number(text);
  }
  std::string with_point{text};
  with_point[comma] = '.';
  return parse_number(with_point);
}

}  // namespace qn
