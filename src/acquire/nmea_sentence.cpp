// SPDX-License-Identifier: Apache-2.0
#include "acquire/nmea_sentence.h"

#include <charconv>
#include <cmath>

#include "acquire/csv_line.h"
#include "acquire/decimal.h"

namespace qn {
namespace {

bool is_address(std::string_view text) {
  if (text.size() < 3 || text.size() > 12) return false;
  for (const char c : text) {
    if (!((c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9'))) return false;
  }
  return true;
}

/// The two hexadecimal digits after '*'; nothing when they are none.
std::optional<unsigned> stated_checksum(std::string_view text) {
  unsigned value = 0;
  if (text.size() < 2) return std::nullopt;
  const auto parsed = std::from_chars(text.data(), text.data() + 2, value, 16);
  if (parsed.ec != std::errc{} || parsed.ptr != text.data() + 2) return std::nullopt;
  return trim(text.substr(2)).empty() ? std::optional{value} : std::nullopt;
}

}  // namespace

std::uint8_t nmea_checksum(std::string_view between) {
  std::uint8_t sum = 0;
  for (const char c : between) sum = static_cast<std::uint8_t>(sum ^ static_cast<unsigned char>(c));
  return sum;
}

std::string_view NmeaSentence::text(std::size_t field) const {
  return field < fields.size() ? fields[field] : std::string_view{};
}

std::optional<double> NmeaSentence::number(std::size_t field) const {
  const auto value = parse_number(text(field));
  return value && std::isfinite(*value) ? value : std::nullopt;
}

std::optional<NmeaSentence> nmea_sentence(std::string_view line) {
  const std::size_t start = line.find_last_of("$!");
  if (start == std::string_view::npos) return std::nullopt;
  std::string_view body = line.substr(start + 1);
  NmeaSentence sentence;
  const std::size_t star = body.find('*');
  if (star != std::string_view::npos) {
    const auto stated = stated_checksum(body.substr(star + 1));
    body = body.substr(0, star);
    const bool right = stated && *stated == nmea_checksum(body);
    sentence.checksum = right ? NmeaChecksum::right : NmeaChecksum::wrong;
  }
  const std::string_view address = body.substr(0, body.find(','));
  if (!is_address(address) || address.size() == body.size()) return std::nullopt;
  sentence.talker = address.substr(0, address.size() - 3);
  sentence.type = address.substr(address.size() - 3);
  for (std::size_t at = address.size(); at < body.size();) {
    const std::size_t next = body.find(',', at + 1);
    sentence.fields.push_back(trim(body.substr(at + 1, next - at - 1)));
    at = next == std::string_view::npos ? body.size() : next;
  }
  return sentence;
}

}  // namespace qn
