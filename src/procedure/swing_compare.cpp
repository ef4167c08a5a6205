// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "procedure/swing_cause_words_internal.h"
#include "procedure/swing_compass_internal.h"
#include "vocab/heading.h"

namespace qn {
namespace {

// A variation smaller than this is lost among ordinary A's.
constexpr double kNoticed_deg = 4.0;

bool same_visit(const SwingReading& a, const SwingReading& b) {
  return a.station_deg == b.station_deg && a.turn == b.turn && a.repeat == b.repeat;
}

bool blames(const SwingCompass& compass, std::size_t row) {
  const auto is = [row](const DoubtfulReading& d) { return d.row == row; };
  return std::any_of(compass.gross.begin(), compass.gross.end(), is) ||
         std::any_of(compass.suspects.begin(), compass.suspects.end(), is);
}

// How many other readings of the visit were judged, and how many of them are blamed as well.
struct Witnesses {
  int heard = 0;
  int blamed = 0;
};

Witnesses witnesses_of(const SwingSolution& solution, const std::vector<SwingReading>& readings,
                       const SwingReading& accused) {
  Witnesses out;
  for (const SwingReading& other : readings) {
    if (!same_visit(accused, other)) continue;
    if (other.compass == accused.compass && other.loads == accused.loads) continue;
    for (const SwingCompass& compass : solution.compasses) {
      if (!compass.solved || compass.name != other.compass || compass.loads != other.loads)
        continue;
      ++out.heard;
      if (blames(compass, other.row)) ++out.blamed;
    }
  }
  return out;
}

void settle(DoubtfulReading& doubt, const Witnesses& witnesses) {
  if (witnesses.heard == 0) {
    if (doubt.likely == "other station") {
      doubt.what +=
          " Whether the aircraft stood on another mark, only a second compass could tell.";
    }
    return;
  }
  if (witnesses.blamed == witnesses.heard) {
    doubt.likely = "other station";
    doubt.cause = cause_words(doubt);
    doubt.what += " All compasses are off here: the aircraft stood on another mark.";
  } else if (doubt.likely == "other station") {
    doubt.likely = "misread";
    doubt.cause = cause_words(doubt);
    doubt.what += " The other compasses are right here, so the mark was, too.";
  }
}

void notice_wrong_north(SwingSolution& solution, const SwingOptions& options) {
  if (!options.variation_deg || std::fabs(*options.variation_deg) < kNoticed_deg) return;
  const double v = *options.variation_deg;
  for (SwingCompass& compass : solution.compasses) {
    if (!compass.solved) continue;
    const double a = compass.curve.coefficients_deg[0];
    const double near = std::min(2.0 * compass.sigma_deg[0] + 0.5, 0.4 * std::fabs(v));
    const bool stations = std::fabs(a - v) < near;
    if (!stations && std::fabs(a + v) > near) continue;
    compass.remarks.push_back(fmt::format(
        "All readings are off by A = {:.1f} deg, and the variation here is {:.1f}: were the {} "
        "true and not magnetic? {} Nothing was changed.",
        a, v, stations ? "stations" : "readings",
        stations ? "If so, say --stations-are true."
                 : "If so, set the display to magnetic and read again."));
  }
}

// Beyond this an A is looked at twice: about a variation, and more than most mountings are off.
constexpr double kLargeA_deg = 5.0;

bool surely_large_a(const SwingCompass& compass) {
  const auto [lo, hi] = compass.band_95_deg[0];
  return compass.supported[0] && (lo > kLargeA_deg || hi < -kLargeA_deg);
}

void ask_about_a(SwingCompass& compass, bool alone) {
  compass.remarks.push_back(fmt::format(
      "A is {:+.1f} deg (95 %: {:+.1f} to {:+.1f}), as large as a variation. {} If not, its lubber "
      "line or mounting is off by that. Nothing was changed.",
      compass.curve.coefficients_deg[0], compass.band_95_deg[0].first,
      compass.band_95_deg[0].second,
      alone ? "Are the stations or the readings true, not magnetic? Give --variation-deg (with "
              "--stations-are true if they are)."
            : "The other compasses on these stations do not share it. Are its readings true, not "
              "magnetic? Give --variation-deg."));
}

// Without a variation at hand: one large A common to all compasses is not in the compasses.
void notice_large_a(SwingSolution& solution, const SwingOptions& options) {
  if (options.variation_deg || options.variation_applied) return;
  double lo = 360.0;
  double hi = -360.0;
  std::vector<std::string> names;
  for (const SwingCompass& compass : solution.compasses) {
    if (!compass.solved) continue;
    lo = std::min(lo, compass.curve.coefficients_deg[0]);
    hi = std::max(hi, compass.curve.coefficients_deg[0]);
    if (std::find(names.begin(), names.end(), compass.name) == names.end()) {
      names.push_back(compass.name);
    }
  }
  const bool one_side = lo > 0.0 || hi < 0.0;
  if (names.size() > 1 && one_side && hi - lo <= 2.0 &&
      std::min(std::fabs(lo), std::fabs(hi)) >= kNoticed_deg) {
    solution.remarks.push_back(fmt::format(
        "All compasses are off by the same A, {:.1f} to {:.1f} deg: that points at the stations, "
        "not at the compasses. Are they true, not magnetic? Give --variation-deg (with "
        "--stations-are true if they are), and look at the north of the rose.",
        lo, hi));
    return;
  }
  for (SwingCompass& compass : solution.compasses) {
    if (compass.solved && surely_large_a(compass)) ask_about_a(compass, names.size() == 1);
  }
}

}  // namespace

void compare_compasses(SwingSolution& solution, const std::vector<SwingReading>& readings,
                       const SwingOptions& options) {
  const SwingSolution before = solution;
  for (SwingCompass& compass : solution.compasses) {
    for (auto* list : {&compass.gross, &compass.suspects}) {
      for (DoubtfulReading& doubt : *list) {
        const auto accused =
            std::find_if(readings.begin(), readings.end(),
                         [&](const SwingReading& r) { return r.row == doubt.row; });
        settle(doubt, witnesses_of(before, readings, *accused));
      }
    }
  }
  notice_wrong_north(solution, options);
  notice_large_a(solution, options);
}

}  // namespace qn
