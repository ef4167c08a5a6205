// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "procedure/air_gross_internal.h"
#include "procedure/air_words_internal.h"
#include "vocab/letters.h"
#include "vocab/text_parts.h"

namespace qn {
namespace {

std::string reading_text(const DoubtfulLeg& d, double value) {
  return d.reading == "ground speed" ? fmt::format("{:.0f} kt", value) : air_heading(value);
}

std::string cause_text(const DoubtfulLeg& d) {
  return d.likely == kNoPattern ? "wrong in no pattern that is known" : d.likely;
}

void describe_doubt(DoubtfulLeg& d, bool set_aside) {
  d.what = fmt::format(
      "{}: its {}, {}, is {} wrong ({:.3g} %), likeliest {}; the other readings "
      "foretell {}.",
      capitalised(air_leg_name(d.leg)), d.reading, reading_text(d, d.read),
      set_aside ? "next to certainly" : "perhaps", std::min(100.0 * d.probability, 99.9),
      cause_text(d), reading_text(d, d.expected));
}

std::string legs_again(const AirSolution& out, const AirFit& fit) {
  std::vector<std::string> legs;
  for (const DoubtfulLeg& d : out.suspects) {
    const auto it = std::find(fit.leg_of_row.begin(), fit.leg_of_row.end(), d.leg);
    const AirRow& row = fit.rows[static_cast<std::size_t>(it - fit.leg_of_row.begin())];
    legs.push_back(
        fmt::format("{} (indicated {})", air_leg_name(d.leg), air_heading(*row.indicated_deg)));
  }
  return and_list(legs);
}

}  // namespace

std::string air_heading(double deg) {
  const double whole = std::round(deg);
  return fmt::format("{:03.0f}", whole >= 360.0 ? 0.0 : whole);
}

std::string air_leg_name(std::size_t leg) { return fmt::format("leg {}", leg + 1); }

void say_air_doubts(AirSolution& out, const AirFit& fit) {
  for (DoubtfulLeg& d : out.gross) {
    describe_doubt(d, true);
    AirLegResult& leg = out.legs[d.leg];
    leg.used = false;
    leg.why_not = fmt::format("{} {}", d.reading, cause_text(d));
    out.verdict.because +=
        fmt::format("; {} was set aside, its {} {}", air_leg_name(d.leg), d.reading, cause_text(d));
  }
  for (DoubtfulLeg& d : out.suspects) describe_doubt(d, false);
  if (out.suspects.empty()) return;
  out.verdict.state = VerdictState::unproven;
  out.verdict.because += "; one reading is probably wrong, and which one is not certain";
  out.verdict.do_next = fmt::format(
      "look at how {} {} written down; if nothing is found, fly {} again and solve all "
      "legs together",
      legs_again(out, fit), out.suspects.size() == 1 ? "was" : "were",
      out.suspects.size() == 1 ? "it" : "them");
}

}  // namespace qn
