// SPDX-License-Identifier: Apache-2.0
#include "report/coefficient_table.h"

#include <array>
#include <string>

#include "report/figure_words.h"

namespace qn {
namespace {

constexpr std::array<const char*, 5> kOf = {"constant: lubber line, north",
                                            "sin: hard iron fore and aft", "cos: hard iron across",
                                            "sin 2: soft iron", "cos 2: soft iron"};

std::string plus_words(double deg) {
  const std::string words = number_words(deg, 1);
  return deg >= 0.05 ? "+" + words : words;
}

}  // namespace

void coefficient_table(PageCanvas& canvas, const PageBox& box, const SwingCompass& compass) {
  constexpr double kRow_pt = 13.0;
  const TextStyle head{.size_pt = 8.0, .ink = ink::kSecondWords};
  const TextStyle strong{.size_pt = 9.5, .bold = true};
  const TextStyle plain{.size_pt = 9.5};
  const double estimate = box.left + 50.0, band = box.left + 122.0, of = box.left + 130.0;
  double y = box.top + 9.0;
  canvas.label({estimate, y}, "degrees", head, Anchor::right);
  canvas.label({band, y}, "95 % band", head, Anchor::right);
  canvas.label({of, y}, "what it is of", head);
  for (std::size_t j = 0; j < 5; ++j) {
    canvas.line({box.left, y + 3.2}, {box.right, y + 3.2}, {ink::kRule, kHair_pt, Dash::solid});
    y += kRow_pt;
    canvas.label({box.left, y}, std::string{"ABCDE"[j]}, strong);
    if (compass.supported[j]) {
      canvas.label({estimate, y}, plus_words(compass.curve.coefficients_deg[j]), strong,
                   Anchor::right);
      const auto [lo, hi] = compass.band_95_deg[j];
      canvas.label({band, y}, plus_words(lo) + " to " + plus_words(hi), plain, Anchor::right);
    } else {
      canvas.label({band, y}, "not told", plain, Anchor::right);
    }
    canvas.label({of, y}, kOf[j], plain, Anchor::left, box.right - of);
  }
}

}  // namespace qn
