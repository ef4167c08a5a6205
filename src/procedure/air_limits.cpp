// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <cmath>

#include "procedure/air_words_internal.h"
#include "vocab/text_parts.h"

namespace qn {
namespace {

// The coefficients that the headings leave open; A may be missing for want of the variation alone.
std::string untold_by_headings(const AirSolution& s, bool variation_known) {
  std::vector<std::string> out;
  for (std::size_t j = variation_known ? 0 : 1; j < 5; ++j) {
    if (!s.supported[j]) out.emplace_back(1, "ABCDE"[j]);
  }
  return and_list(out);
}

std::string legs_text(const AirFit& fit) {
  std::string out = fit.unchecked.size() > 1 ? "leg" : "";
  for (const std::size_t row : fit.unchecked) {
    const std::string name = air_leg_name(fit.leg_of_row[row]);
    if (fit.unchecked.size() == 1) return name;
    out += (row == fit.unchecked.front() ? "s " : ", ") + name.substr(4);
  }
  return out;
}

std::string combination_text(const AirCombination& c) {
  return fmt::format(
      "D and E by themselves; what is told is one combination of them: {:.2f} E {} {:.2f} D = "
      "{:+.1f} deg (95 %: {:+.1f} to {:+.1f}).",
      c.of_e, c.of_d < 0.0 ? "-" : "+", std::fabs(c.of_d), c.value_deg,
      c.value_deg - 1.96 * c.sigma_deg, c.value_deg + 1.96 * c.sigma_deg);
}

}  // namespace

void say_air_limits(AirSolution& out, const AirFit& fit, const AirOptions& options) {
  auto& say = out.cannot_prove;
  if (!fit.headings) {
    say.push_back("Nothing about the heading display: no leg has its reading.");
    return;
  }
  if (fit.variation_known) {
    say.push_back(fmt::format(
        "A apart from a constant sideslip and from an error of the variation: {:.1f} deg (1 sigma) "
        "of them stand in A's band and in every band of the curve.",
        fit.a_outside_sigma_deg));
  } else {
    say.push_back(fmt::format(
        "A, and with it how far the display is off: {} and the variation is not known. Give it "
        "(--variation-deg V, or --at LAT,LON with --on DATE); no further leg would do.",
        norths_text(options)));
  }
  const std::string missing = untold_by_headings(out, fit.variation_known);
  if (!missing.empty()) {
    say.push_back(fmt::format(
        "{}: the headings flown cannot tell {}. What displays usually have (1 sigma: A 20, B and C "
        "30, D and E 3 deg) stands in the bands instead.",
        missing, missing.size() == 1 ? "it" : "them"));
  }
  if (out.combination && !out.supported[3] && !out.supported[4]) {
    say.push_back(combination_text(*out.combination));
  }
  if (out.wind_known && !air_readings_weighed(fit)) {
    say.push_back(
        "Whether a reading was written down wrong: with so few legs no one checks another, and the "
        "bands take it that none was.");
  } else if (!fit.unchecked.empty()) {
    const bool all = fit.unchecked.size() == fit.rows.size();
    say.push_back(fmt::format(
        "Whether {} misread by 10: the other readings do not foretell {} closely enough. The "
        "chance that one is wrong stands in the bands; more legs would show it.",
        all ? std::string{"a heading was"} : "the heading of " + legs_text(fit) + " was",
        !all && fit.unchecked.size() > 1 ? "them" : "it"));
  }
  if (!out.wind_change_kt_per_hour) {
    say.push_back(fmt::format(
        "Whether the wind changed during the flight: no leg returns late enough to an earlier "
        "heading. {:g} kt an hour (1 sigma, each axis) stand in the bands.",
        fit.prior.sd[kAirRate]));
  }
  say.push_back("Turning errors, lag, and loads that were not on.");
}

}  // namespace qn
