// SPDX-License-Identifier: Apache-2.0
#include "acquire/decimal.h"

#include <bit>
#include <catch2/catch.hpp>
#include <charconv>
#include <cmath>
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <random>
#include <string>

namespace {

constexpr char kAfter[] = ",;\t\n\r ";

/// What the fast way makes of a text followed by an arbitrary character and arbitrary bytes.
qn::ParsedDecimal parse(std::string& text, char point, std::mt19937_64& random) {
  text += kAfter[random() % 6];
  const std::size_t length = text.size();
  for (std::size_t i = 0; i < qn::kDecimalPadding; ++i) text += static_cast<char>(random());
  const qn::ParsedDecimal result = qn::parse_plain_decimal(text.data(), point);
  text.resize(length - 1);
  return result;
}

/// Counts texts on which both ways differ in a bit or in where they end; `taken` those that the
/// fast way dealt with.
struct Comparison {
  int differ = 0;
  int taken = 0;
  std::string example;

  void of(std::string text, std::mt19937_64& random) {
    const qn::ParsedDecimal fast = parse(text, '.', random);
    if (fast.next == nullptr) return;
    ++taken;
    double exact = 0.0;
    const auto [end, problem] = std::from_chars(text.data(), text.data() + text.size(), exact);
    const bool same =
        problem == std::errc{} && end == fast.next &&
        std::bit_cast<std::uint64_t>(exact) == std::bit_cast<std::uint64_t>(fast.value) &&
        std::bit_cast<std::uint64_t>(std::strtod(text.c_str(), nullptr)) ==
            std::bit_cast<std::uint64_t>(fast.value);
    if (!same && differ++ == 0) example = text;
  }
};

std::string print(const char* format, int precision, double value) {
  char text[512];
  std::snprintf(text, sizeof text, format, precision, value);
  return text;
}

}  // namespace

TEST_CASE("Numbers in plain notation come out bit for bit as from_chars and strtod read them",
          "[acquire][closed-form]") {
  // Both library functions round correctly (IEEE 754), so equality is exact; seed 11.
  std::mt19937_64 random{11};
  std::uniform_real_distribution<double> exponent{-7.0, 17.0};
  Comparison comparison;
  for (int i = 0; i < 400000; ++i) {
    double value = std::pow(10.0, exponent(random));
    if (random() % 2 == 0) value = -value;
    comparison.of(print("%.*f", static_cast<int>(random() % 14), value), random);
  }
  INFO(comparison.example);
  CHECK(comparison.differ == 0);
  CHECK(comparison.taken > 200000);  // or the fast way would be none
}

TEST_CASE("Random strings of digits and points are read as from_chars reads them or passed on",
          "[acquire][closed-form]") {
  std::mt19937_64 random{12};
  Comparison comparison;
  for (int i = 0; i < 400000; ++i) {
    std::string text = random() % 2 == 0 ? "-" : "";
    const std::size_t whole = random() % 20;
    const std::size_t decimals = random() % 20;
    for (std::size_t k = 0; k < whole; ++k) text += static_cast<char>('0' + random() % 10);
    if (random() % 4 != 0) text += '.';
    for (std::size_t k = 0; k < decimals; ++k) text += static_cast<char>('0' + random() % 10);
    comparison.of(text, random);
  }
  INFO(comparison.example);
  CHECK(comparison.differ == 0);
  CHECK(comparison.taken > 100000);
}

TEST_CASE("Any bytes are read as from_chars reads them or passed on", "[acquire][closed-form]") {
  std::mt19937_64 random{13};
  const std::string alphabet =
      "0123456789.-+eE,; na\xb5\xff\x80"  // no x: strtod alone reads hex digits
      ;
  Comparison comparison;
  for (int i = 0; i < 400000; ++i) {
    std::string text;
    const std::size_t length = random() % 14;
    for (std::size_t k = 0; k < length; ++k) text += alphabet[random() % alphabet.size()];
    comparison.of(text, random);
  }
  INFO(comparison.example);
  CHECK(comparison.differ == 0);
  CHECK(comparison.taken > 10000);
}

TEST_CASE("Random doubles in every notation keep their bits through parse_number",
          "[acquire][closed-form]") {
  // 17 significant digits identify a double (IEEE 754-2008, 5.12.2).
  std::mt19937_64 random{14};
  int differ = 0;
  for (int i = 0; i < 200000; ++i) {
    const double value = std::bit_cast<double>(random());
    if (!std::isfinite(value)) continue;
    const auto read = qn::parse_number(print("%.*e", 16, value));
    // from_chars reports numbers below the smallest normal one as out of range or reads them.
    if (!read && std::fabs(value) < 1e-300) continue;
    if (!read || std::bit_cast<std::uint64_t>(*read) != std::bit_cast<std::uint64_t>(value))
      ++differ;
  }
  CHECK(differ == 0);
}

TEST_CASE("What is no plain number is passed on", "[acquire][closed-form]") {
  std::mt19937_64 random{15};
  for (const char* text : {"", "-", ".", "-.", "abc", "1e5", "1E-3", "1.5e3", "nan", "+1",
                           "12345678901234567890", "9007199254740993", "0.12345678901234567890"}) {
    std::string copy = text;
    INFO(copy);
    CHECK(parse(copy, '.', random).next == nullptr);
  }
}

TEST_CASE("A decimal comma is read where it is asked for", "[acquire][closed-form]") {
  std::mt19937_64 random{16};
  for (const auto& [text, value] : {std::pair{"1,5", 1.5}, std::pair{"-0,25", -0.25},
                                    std::pair{"123456,0625", 123456.0625}, std::pair{",5", 0.5}}) {
    std::string copy = text;
    const auto read = parse(copy, ',', random);
    REQUIRE(read.next == copy.data() + copy.size());
    CHECK(read.value == value);
  }
}

TEST_CASE("Minus zero keeps its sign", "[acquire][closed-form]") {
  std::mt19937_64 random{17};
  std::string text = "-0.00";
  const auto read = parse(text, '.', random);
  REQUIRE(read.next != nullptr);
  CHECK(std::signbit(read.value));
}
