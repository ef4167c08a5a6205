// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <bit>
#include <cstddef>
#include <cstdint>
#include <cstring>
#include <optional>
#include <string_view>

namespace qn {

/// A number and the first character after it; `next` is null when there was none to be had.
struct ParsedDecimal {
  double value = 0.0;
  const char* next = nullptr;
};

/// So many bytes beyond the text must be readable (their content does not matter).
inline constexpr std::size_t kDecimalPadding = 32;

namespace decimal_detail {

inline constexpr std::uint64_t kZeros = 0x3030303030303030u;
inline constexpr double kPowersOfTen[] = {1e0,  1e1,  1e2,  1e3,  1e4,  1e5,  1e6,
                                          1e7,  1e8,  1e9,  1e10, 1e11, 1e12, 1e13,
                                          1e14, 1e15, 1e16, 1e17, 1e18, 1e19};
inline constexpr std::uint64_t kWholePowersOfTen[] = {1,      10,      100,      1000,     10000,
                                                      100000, 1000000, 10000000, 100000000};

/// Eight characters as digit values 0 to 9, the first in the lowest byte; other values: no digit.
inline std::uint64_t load_digits(const char* p) {
  std::uint64_t word = 0;
  std::memcpy(&word, p, sizeof word);
  if constexpr (std::endian::native == std::endian::big) word = __builtin_bswap64(word);
  return word ^ kZeros;
}

/// The top bit of each byte that is no digit. A carry out of a byte beyond ASCII can spoil the
/// bytes after it: marks are true up to and including the first non-digit, and further if that is
/// ASCII.
inline std::uint64_t find_others(std::uint64_t digits) {
  return ((digits + 0x7676767676767676u) | digits) & 0x8080808080808080u;
}

/// How many of the eight are digits before the first that is not.
inline unsigned count_digits(std::uint64_t digits) {
  const std::uint64_t others = find_others(digits);
  return others == 0 ? 8u : static_cast<unsigned>(std::countr_zero(others)) / 8u;
}

/// The value of eight digits: neighbours are joined three times, 1 -> 2 -> 4 -> 8 digits.
inline std::uint64_t join_digits(std::uint64_t digits) {
  digits = (digits * (10u * 0x100u + 1u)) >> 8;
  digits = ((digits & 0x00ff00ff00ff00ffu) * (100u * 0x10000u + 1u)) >> 16;
  return ((digits & 0x0000ffff0000ffffu) * (10000u * 0x100000000u + 1u)) >> 32;
}

/// Reads a run of digits onto `mantissa` and counts them. Stops early, with more than 19 counted or
/// still standing on a digit, when there are too many to be exact.
inline const char* read_digits(const char* p, std::uint64_t& mantissa, unsigned& count) {
  for (;;) {
    const std::uint64_t digits = load_digits(p);
    const unsigned n = count_digits(digits);
    if (n < 8) {
      // The first shift is at most 56 bits; with n = 0 the second empties the word.
      mantissa = mantissa * kWholePowersOfTen[n] + join_digits((digits << (56u - 8u * n)) << 8);
      count += n;
      return p + n;
    }
    mantissa = mantissa * kWholePowersOfTen[8] + join_digits(digits);
    count += 8;
    p += 8;
    if (count > 16) return p;
  }
}

inline double scaled(std::uint64_t mantissa, unsigned decimals) {
  return static_cast<double>(static_cast<std::int64_t>(mantissa)) / kPowersOfTen[decimals];
}

/// Goes on where the point, at bit `point_at`, lies in the first eight bytes and the end in the
/// next.
inline ParsedDecimal parse_on(const char* p, std::uint64_t digits, unsigned point_at) {
  const std::uint64_t more = load_digits(p + 8);
  const unsigned n = count_digits(more);
  if (n == 8) return {};
  const std::uint64_t whole = (std::uint64_t{1} << point_at) - 1u;
  const std::uint64_t seven = (digits & whole) << 8 | (digits & ~(whole << 8 | 0xffu));
  const std::uint64_t mantissa =
      join_digits(seven) * kWholePowersOfTen[n] + join_digits((more << (56u - 8u * n)) << 8);
  return {scaled(mantissa, 7u - point_at / 8u + n), p + 8 + n};
}

/// Digits, point and the character after them all within eight bytes, as in nearly all cells: one
/// load finds both ends, and the point is squeezed out so that the digits are joined once.
inline ParsedDecimal parse_short(const char* p, char point) {
  std::uint64_t digits = load_digits(p);
  const std::uint64_t others = find_others(digits);
  if (others == 0) return {};
  // The marks are the top bits of bytes: 8 n + 7.
  unsigned end = static_cast<unsigned>(std::countr_zero(others)) - 7u;
  unsigned decimals = 0;
  if (p[end / 8u] == point) {
    const std::uint64_t after = others & (others - 1u);
    if (after == 0) return parse_on(p, digits, end);
    const unsigned second = static_cast<unsigned>(std::countr_zero(after)) - 7u;
    decimals = (second - end) / 8u - 1u;
    const std::uint64_t whole = (std::uint64_t{1} << end) - 1u;
    digits = (digits & whole) | ((digits >> 8) & ~whole);
    end = second - 8u;
    if (end == 0) return {};
    return {scaled(join_digits(digits << (64u - end)), decimals), p + second / 8u};
  }
  if (end == 0) return {};
  return {scaled(join_digits(digits << (64u - end)), 0), p + end / 8u};
}

/// Any number of digits, as long as the result is exact.
inline ParsedDecimal parse_long(const char* p, char point) {
  std::uint64_t mantissa = 0;
  unsigned digits = 0;
  p = read_digits(p, mantissa, digits);
  unsigned decimals = 0;
  if (*p == point) {
    const unsigned whole = digits;
    if (digits > 16) return {};
    p = read_digits(p + 1, mantissa, digits);
    decimals = digits - whole;
  }
  constexpr std::uint64_t kExactLimit = std::uint64_t{1} << 53;
  if (digits - 1u > 18u || mantissa > kExactLimit) return {};  // none, or more than 19
  if (*p >= '0' && *p <= '9') return {};
  return {scaled(mantissa, decimals), p};
}

}  // namespace decimal_detail

/// A number in plain notation ([-]digits[point digits]) at `p`.
///
/// point    '.' or ','
/// returns  the value, bit for bit what std::from_chars gives; `next` null when the text is no such
///          number, has an exponent, or too many digits for this way: then ask std::from_chars
/// assumes  kDecimalPadding readable bytes beyond the text; rounding to nearest
///
/// Why it is exact: a whole number up to 2^53 and a power of ten up to 10^19 are both doubles
/// without error, so their quotient is rounded once, as IEEE 754 asks.
inline ParsedDecimal parse_plain_decimal(const char* p, char point) {
  using namespace decimal_detail;
  const bool negative = *p == '-';
  p += negative ? 1 : 0;
  const ParsedDecimal size = parse_short(p, point);
  const ParsedDecimal found = size.next != nullptr ? size : parse_long(p, point);
  if (found.next == nullptr || (*found.next | 0x20) == 'e') return {};
  return {negative ? -found.value : found.value, found.next};
}

/// A whole text as a number, by std::from_chars (a leading '+' is allowed).
/// returns  nothing when it is not one, or not in the range of a double; infinities and NaN as such
std::optional<double> parse_number(std::string_view text);

/// The same where commas do not separate cells: a decimal comma is as good as a point.
std::optional<double> parse_number_with_comma(std::string_view text);

}  // namespace qn
