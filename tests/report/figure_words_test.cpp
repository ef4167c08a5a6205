// SPDX-License-Identifier: Apache-2.0
#include "report/figure_words.h"

#include <catch2/catch.hpp>
#include <limits>
#include <string>

namespace {

using namespace qn;

Band95 band(double lo, double hi) { return {Angle::degrees(lo), Angle::degrees(hi)}; }

}  // namespace

// Expected texts: the rules for figures in the project's look (degrees to 0.1, a real minus U+2212,
// the band in words, three digits for a heading, "at most 0.1" for no effect).

TEST_CASE("numbers have a real minus and never a negative zero", "[report][closed-form]") {
  CHECK(number_words(-1.25, 1) == "\u22121.2");
  CHECK(number_words(3.0, 0) == "3");
  CHECK(number_words(-0.04, 1) == "0.0");
  CHECK(number_words(-0.0, 3) == "0.000");
  CHECK(number_words(std::numeric_limits<double>::quiet_NaN(), 1) == "not a number");
}

TEST_CASE("a band is said in words", "[report][closed-form]") {
  CHECK(band_words(band(3.61, 4.14)) == "3.6 to 4.1");
  CHECK(band_words(band(0.02, 0.7)) == "at most 0.7");
  CHECK(band_words(band(0.0, 0.04)) == "at most 0.1");
  CHECK(band_words(band(3.6, 4.1)).find("±") == std::string::npos);
}

TEST_CASE("a limit keeps the figures it was given with", "[report][closed-form]") {
  CHECK(limit_words(Angle::degrees(1.0)) == "1.0°");
  CHECK(limit_words(Angle::degrees(0.25)) == "0.25°");
}

TEST_CASE("a heading has three digits and 360 is north", "[report][closed-form]") {
  CHECK(heading_words(29.6) == "030");
  CHECK(heading_words(359.9) == "000");
  CHECK(heading_words(-90.0) == "270");
}

TEST_CASE("counts, durations, days and hashes are written for people", "[report][closed-form]") {
  CHECK(count_words(999) == "999");
  CHECK(count_words(1234567) == "1\u202f234\u202f567");
  CHECK(duration_words(58.2) == "58 s");
  CHECK(duration_words(642.0) == "10 min 42 s");
  CHECK(duration_words(7260.0) == "2 h 1 min");
  CHECK(day_words("2026-05-14") == "14 May 2026");
  CHECK(day_words("some day") == "some day");
  CHECK(hash_words("9f2c71d04b") == "9f2c 71d0 4b");
}

TEST_CASE("figures of a sentence are found without its full stop and percentages",
          "[report][closed-form]") {
  const std::string text = "Right to 0.8° near 215, at \u22123.5; 95 % of A1 and 4.";
  std::string bold;
  for (const BoldSpan& span : figures_in(text)) {
    bold += text.substr(span.begin, span.end - span.begin) + "|";
  }
  CHECK(bold == "0.8°|215|\u22123.5|4|");
}

TEST_CASE("a sentence of the terminal on paper", "[report][closed-form]") {
  CHECK(qn::paper_words("B -2.2 deg (95 %: -3.0 to 1.0), 30-40") ==
        "B −2.2° (95 %: −3.0 to 1.0), 30-40");
  CHECK(qn::paper_words("5 degrees") == "5 degrees");
  CHECK(qn::paper_words("10 deg") == "10°");
}
