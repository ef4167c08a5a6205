// SPDX-License-Identifier: Apache-2.0
#pragma once

namespace qn {

/// A printing ink on white paper. The hues are colour-blind-safe and darkened to 7:1; each stands
/// beside a hatch, a dash or a word, so that a sheet printed in one ink says the same.
struct Ink {
  unsigned char r = 0, g = 0, b = 0;
};

namespace ink {
inline constexpr Ink kPaper{0xff, 0xff, 0xff};
inline constexpr Ink kWords{0x11, 0x11, 0x11};
inline constexpr Ink kSecondWords{0x33, 0x33, 0x33};
inline constexpr Ink kRule{0xa8, 0xa8, 0xa8};
inline constexpr Ink kGrid{0xd2, 0xd2, 0xd2};
inline constexpr Ink kOutline{0x55, 0x55, 0x55};
inline constexpr Ink kWithin{0x00, 0x46, 0x6d};
inline constexpr Ink kOver{0x82, 0x27, 0x00};
inline constexpr Ink kUnproven{0x5a, 0x3d, 0x00};
inline constexpr Ink kFit{0x00, 0x53, 0x3c};
inline constexpr Ink kUnexplained{0x74, 0x28, 0x5a};
inline constexpr Ink kWithinFill{0xa9, 0xc9, 0xdc};
inline constexpr Ink kOverFill{0xef, 0xbd, 0x9f};
inline constexpr Ink kUnprovenFill{0xf0, 0xd2, 0x8a};
inline constexpr Ink kFitFill{0xbf, 0xdc, 0xcb};
inline constexpr Ink kUnexplainedFill{0xe6, 0xc3, 0xd6};
inline constexpr Ink kOnFill{0xe4, 0xec, 0xea};
inline constexpr Ink kBeforeFill{0xe0, 0xe0, 0xe0};
}  // namespace ink

// Stroke widths, points.
inline constexpr double kHair_pt = 0.5;
inline constexpr double kLine_pt = 0.8;
inline constexpr double kInkLine_pt = 1.2;
inline constexpr double kHatch_pt = 0.6;

}  // namespace qn
