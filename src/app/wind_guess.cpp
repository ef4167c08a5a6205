// SPDX-License-Identifier: Apache-2.0
#include "app/wind_guess.h"

#include <fmt/format.h>

#include <charconv>
#include <cmath>
#include <optional>

#include "vocab/heading.h"

namespace qn {
namespace {

std::optional<double> wind_number(std::string_view text) {
  double value = 0.0;
  const auto [end, ec] = std::from_chars(text.data(), text.data() + text.size(), value);
  const bool whole = ec == std::errc{} && end == text.data() + text.size();
  return whole && std::isfinite(value) && value >= 0.0 ? std::optional{value} : std::nullopt;
}

}  // namespace

Result<WindGuess> wind_guess_from(std::string_view text) {
  const std::size_t slash = text.find('/');
  if (slash != std::string_view::npos) {
    const auto from = wind_number(text.substr(0, slash));
    const auto kt = wind_number(text.substr(slash + 1));
    if (from && kt && *from <= 360.0) return WindGuess{wrap_360_deg(*from), *kt};
  }
  return Error{ErrorKind::OutOfRange, fmt::format("'{}' is not a wind", text),
               "option --wind-guess",
               "FROM/KT: degrees true that it comes from, 0 to 360, a slash, knots",
               "write it like 240/15, or leave it out for no wind"};
}

}  // namespace qn
