// SPDX-License-Identifier: Apache-2.0
#include "server/qr_code.h"

#include <fmt/format.h>
#include <qrencode.h>

#include <cstddef>
#include <memory>

namespace qn {
namespace {

constexpr std::size_t kQuiet = 4;  // modules around it, as the standard asks for

bool light_at(const QrCode& code, std::size_t row, std::size_t column) {
  if (row < kQuiet || column < kQuiet) return true;
  row -= kQuiet;
  column -= kQuiet;
  return row >= code.size() || column >= code.size() || !code[row][column];
}

}  // namespace

QrCode qr_code(const std::string& text) {
  const std::unique_ptr<QRcode, decltype(&QRcode_free)> made{
      QRcode_encodeString8bit(text.c_str(), 0, QR_ECLEVEL_M), &QRcode_free};
  if (!made) return {};
  const auto width = static_cast<std::size_t>(made->width);
  QrCode code(width, std::vector<bool>(width));
  for (std::size_t i = 0; i < width * width; ++i) {
    code[i / width][i % width] = (made->data[i] & 1) != 0;  // the other bits say what it is for
  }
  return code;
}

std::string qr_svg(const QrCode& code) {
  if (code.empty()) return {};
  const std::size_t size = code.size() + 2 * kQuiet;
  // One path of bars, no style attribute: the page's policy allows none.
  std::string bars;
  for (std::size_t row = 0; row < code.size(); ++row) {
    for (std::size_t from = 0; from < code.size(); ++from) {
      if (!code[row][from]) continue;
      std::size_t to = from;
      while (to < code.size() && code[row][to]) ++to;
      bars += fmt::format("M{} {}h{}v1h-{}z", from + kQuiet, row + kQuiet, to - from, to - from);
      from = to;
    }
  }
  return fmt::format(
      R"(<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {0} {0}" shape-rendering="crispEdges" role="img" aria-label="QR code"><path fill="#fff" d="M0 0h{0}v{0}H0z"/><path fill="#000" d="{1}"/></svg>)",
      size, bars);
}

std::string qr_text(const QrCode& code) {
  if (code.empty()) return {};
  const std::size_t size = code.size() + 2 * kQuiet;
  std::string text;
  for (std::size_t row = 0; row < size; row += 2) {
    for (std::size_t column = 0; column < size; ++column) {
      const bool upper = light_at(code, row, column);
      const bool lower = row + 1 < size && light_at(code, row + 1, column);
      text += upper ? (lower ? "\u2588" : "\u2580") : (lower ? "\u2584" : " ");
    }
    text += '\n';
  }
  return text;
}

}  // namespace qn
