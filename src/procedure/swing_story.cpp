// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <cmath>

#include "procedure/swing_compass_internal.h"

namespace qn {
namespace {

// A part whose band holds nothing is not worth a screw.
bool shows(const SwingCompass& compass, std::size_t j) {
  const auto [lo, hi] = compass.band_95_deg[j];
  return compass.supported[j] && (lo > 0.0 || hi < 0.0);
}

std::string part(const SwingCompass& compass, std::size_t j) {
  const double deg = std::round(10.0 * compass.curve.coefficients_deg[j]) / 10.0;
  return fmt::format("{} {:+.1f}", "ABCDE"[j], deg + 0.0);
}

std::string parts(const SwingCompass& compass, std::size_t first, std::size_t second) {
  if (shows(compass, first) && shows(compass, second)) {
    return part(compass, first) + " and " + part(compass, second);
  }
  return part(compass, shows(compass, first) ? first : second);
}

}  // namespace

std::vector<std::string> adjuster_story(const SwingCompass& compass) {
  std::vector<std::string> out;
  const auto& k = compass.curve.coefficients_deg;
  if (shows(compass, 1) || shows(compass, 2)) {
    out.push_back(fmt::format(
        "{} deg: the screws take it off (B the E-W, C the N-S one). Without B and C the largest "
        "deviation would be {:.1f} deg; `swing adjust` gives the reading to set.",
        parts(compass, 1, 2), std::fabs(k[0]) + std::hypot(k[3], k[4])));
  }
  if (shows(compass, 0)) {
    out.push_back(
        fmt::format("{} deg: the lubber line or the mounting (or the north of the rose); no screw "
                    "takes it off. The case turned by {:.1f} deg {} would.",
                    part(compass, 0), std::fabs(k[0]), k[0] > 0.0 ? "clockwise" : "anticlockwise"));
  }
  if (shows(compass, 3) || shows(compass, 4)) {
    out.push_back(fmt::format(
        "{} deg: soft iron, steel that the Earth magnetises. No screw takes it off; another place "
        "or less steel does.",
        parts(compass, 3, 4)));
  }
  if (out.empty()) out.emplace_back("No coefficient is large enough to be told from nothing.");
  return out;
}

}  // namespace qn
