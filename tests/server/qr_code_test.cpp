// SPDX-License-Identifier: Apache-2.0
// Both drawings of a QR code say the same, and it looks as the standard wants it.
#include "server/qr_code.h"

#include <catch2/catch.hpp>
#include <cstdlib>
#include <string>

using namespace qn;

namespace {

// ISO/IEC 18004, finder pattern: 7 by 7 dark, 5 by 5 light in it, 3 by 3 dark in that.
bool finder_at(const QrCode& code, std::size_t row, std::size_t column) {
  for (std::size_t r = 0; r < 7; ++r) {
    for (std::size_t c = 0; c < 7; ++c) {
      const std::size_t ring = std::min(std::min(r, c), std::min(6 - r, 6 - c));
      if (code[row + r][column + c] != (ring != 1)) return false;
    }
  }
  return true;
}

const QrCode kCode = qr_code("https://192.168.1.5:8231/#pair=7K3M-Q9XD");

}  // namespace

TEST_CASE("An address with its code fits a small QR code", "[server][published]") {
  // ISO/IEC 18004, table 7: version 3 at level M takes 42 bytes and has 29 modules a side.
  REQUIRE(kCode.size() == 29);
  CHECK(finder_at(kCode, 0, 0));
  CHECK(finder_at(kCode, 0, 22));
  CHECK(finder_at(kCode, 22, 0));
  CHECK_FALSE(finder_at(kCode, 22, 22));
  CHECK(qr_code(std::string(3000, 'a')).empty());
  CHECK(qr_svg({}).empty());
}

TEST_CASE("The drawing has every dark module and no style", "[server]") {
  const std::string svg = qr_svg(kCode);
  std::size_t dark = 0, drawn = 0;
  for (const auto& row : kCode) {
    for (const bool module : row) dark += module ? 1 : 0;
  }
  const std::size_t bars = svg.find("fill=\"#000\"");
  for (std::size_t at = svg.find('h', bars); at != std::string::npos; at = svg.find('h', at + 1)) {
    const int width = std::atoi(svg.c_str() + at + 1);
    if (width > 0) drawn += static_cast<std::size_t>(width);  // the way back is negative
  }
  CHECK(drawn == dark);
  CHECK(svg.find("viewBox=\"0 0 37 37\"") != std::string::npos);  // four light modules all around
  CHECK(svg.find("style") == std::string::npos);
}

TEST_CASE("The text for a terminal has the same modules", "[server]") {
  const std::string text = qr_text(kCode);
  std::size_t row = 0, column = 0, wrong = 0;
  const auto dark = [&](std::size_t r, std::size_t c) {
    return r >= 4 && c >= 4 && r < 33 && c < 33 && kCode[r - 4][c - 4];
  };
  for (std::size_t at = 0; at < text.size();) {
    if (text[at] == '\n') {
      CHECK(column == 37);
      row += 2;
      column = 0;
      ++at;
      continue;
    }
    const std::string block = text[at] == ' ' ? " " : text.substr(at, 3);
    const bool upper = block == "\u2588" || block == "\u2580";
    const bool lower = block == "\u2588" || block == "\u2584";
    wrong += upper == dark(row, column) ? 1 : 0;
    if (row + 1 < 37) wrong += lower == dark(row + 1, column) ? 1 : 0;
    ++column;
    at += block.size();
  }
  CHECK(row == 38);
  CHECK(wrong == 0);
}
