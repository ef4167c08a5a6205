// SPDX-License-Identifier: Apache-2.0
#include "report/figure_words.h"

#include <fmt/format.h>

#include <array>
#include <cctype>
#include <cmath>

#include "vocab/heading.h"
#include "vocab/time.h"

namespace qn {
namespace {

constexpr std::string_view kMinus = "\u2212";
constexpr std::string_view kNarrowSpace = "\u202f";

bool is_digit(char c) { return c >= '0' && c <= '9'; }

}  // namespace

std::string number_words(double value, int decimals) {
  if (!std::isfinite(value)) return "not a number";
  std::string text = fmt::format("{:.{}f}", std::fabs(value), decimals);
  const bool is_zero = text.find_first_not_of("0.") == std::string::npos;
  return value < 0.0 && !is_zero ? std::string{kMinus} + text : text;
}

std::string degree_words(Angle angle) { return number_words(angle.in_deg(), 1) + "°"; }

std::string limit_words(Angle limit) {
  const double tenths = limit.in_deg() * 10.0;
  const bool fine = std::fabs(tenths - std::round(tenths)) > 0.05;
  return number_words(limit.in_deg(), fine ? 2 : 1) + "°";
}

std::string band_words(const Band95& size) {
  const std::string lo = number_words(size.lo.in_deg(), 1);
  const std::string hi = number_words(size.hi.in_deg(), 1);
  if (hi == "0.0") return "at most 0.1";
  return lo == "0.0" ? "at most " + hi : lo + " to " + hi;
}

std::string heading_words(double heading_deg) {
  if (!std::isfinite(heading_deg)) return "---";
  return fmt::format("{:03.0f}", std::fmod(std::round(wrap_360_deg(heading_deg)), 360.0));
}

std::string count_words(std::size_t count) {
  std::string text = std::to_string(count);
  for (std::size_t from_end = 3; from_end < text.size(); from_end += 3 + kNarrowSpace.size()) {
    text.insert(text.size() - from_end, kNarrowSpace);
  }
  return text;
}

std::string duration_words(double seconds) {
  if (!std::isfinite(seconds)) return "unknown time";
  if (seconds < 10.0) return number_words(seconds, 1) + " s";
  const long long whole = std::llround(seconds);
  if (whole < 60) return fmt::format("{} s", whole);
  if (whole < 3600) return fmt::format("{} min {} s", whole / 60, whole % 60);
  return fmt::format("{} h {} min", whole / 3600, whole % 3600 / 60);
}

std::string day_words(std::string_view iso_day) {
  static constexpr std::array<std::string_view, 12> kMonths = {
      "January", "February", "March",     "April",   "May",      "June",
      "July",    "August",   "September", "October", "November", "December"};
  const auto date = CalendarDate::parse(iso_day, "sheet");
  if (!date) return std::string{iso_day};
  const CalendarDate& day = date.value();
  return fmt::format("{} {} {}", day.day(), kMonths[static_cast<std::size_t>(day.month() - 1)],
                     day.year());
}

std::string hash_words(std::string_view hex) {
  std::string text;
  for (std::size_t i = 0; i < hex.size(); ++i) {
    if (i > 0 && i % 4 == 0) text += ' ';
    text += hex[i];
  }
  return text;
}

std::vector<BoldSpan> figures_in(std::string_view sentence) {
  std::vector<BoldSpan> spans;
  for (std::size_t i = 0; i < sentence.size();) {
    const bool inside_word =
        i > 0 && std::isalpha(static_cast<unsigned char>(sentence[i - 1])) != 0;
    if (!is_digit(sentence[i]) || inside_word) {
      ++i;
      continue;
    }
    std::size_t begin = i, end = i;
    while (end < sentence.size() &&
           (is_digit(sentence[end]) || sentence[end] == '.' || sentence[end] == ',')) {
      ++end;
    }
    while (!is_digit(sentence[end - 1])) --end;  // a full stop belongs to the sentence
    if (sentence.substr(0, begin).ends_with(kMinus)) begin -= kMinus.size();
    i = end;
    if (sentence.substr(end).starts_with("°")) end += std::string_view{"°"}.size();
    const std::string_view after = sentence.substr(end);
    if (!after.starts_with(" %") && !after.starts_with("%")) spans.push_back({begin, end});
  }
  return spans;
}

std::string paper_words(std::string_view text) {
  std::string out;
  const auto digit = [](char c) { return c >= '0' && c <= '9'; };
  for (std::size_t i = 0; i < text.size(); ++i) {
    const bool degrees = i > 0 && digit(text[i - 1]) && text.substr(i, 4) == " deg" &&
                         (i + 4 == text.size() || text[i + 4] < 'a' || text[i + 4] > 'z');
    const bool minus = text[i] == '-' && i + 1 < text.size() && digit(text[i + 1]) &&
                       (i == 0 || text[i - 1] == ' ' || text[i - 1] == '(');
    if (degrees) {
      out += "°";
      i += 3;
    } else {
      out += minus ? std::string{"−"} : std::string{text[i]};
    }
  }
  return out;
}

}  // namespace qn
