// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <cmath>

#include "procedure/swing_adjust_internal.h"
#include "vocab/heading.h"

namespace qn {
namespace {

// A coefficient this much larger than its sigma is there, and this large is worth a word.
constexpr double kSurely = 2.0;
constexpr double kWorthAWord_deg = 0.5;
// Beyond it the sine series bends away from what a compass does (docs/sources.md).
constexpr double kLarge_deg = 20.0;

bool is_there(double deg, double sigma_deg) {
  return std::fabs(deg) >= kWorthAWord_deg && std::fabs(deg) > kSurely * sigma_deg;
}

std::string degrees(double deg) {
  const double tenths = std::round(10.0 * deg) / 10.0;
  return fmt::format("{:+.1f} deg", tenths + 0.0);
}

void remark_a(SwingAdjustment& out, const SwingAdjustOptions& options) {
  const double a = out.now_deg[0];
  if (!out.told[0] || options.mount_turns || !is_there(a, out.now_sigma_deg[0])) return;
  out.remarks.push_back(fmt::format(
      "A is {}: it comes from the lubber line or the mounting (or from the north of the rose, "
      "which "
      "is in its band), and no screw takes it off. Where the compass can be turned in its "
      "mounting, "
      "turn its case by {:.1f} deg {}, seen from above (--mount-turns gives the reading to set).",
      degrees(a), std::fabs(a), a > 0.0 ? "clockwise" : "counterclockwise"));
}

void remark_soft_iron(SwingAdjustment& out) {
  const double size = std::hypot(out.now_deg[3], out.now_deg[4]);
  const double sigma = std::hypot(out.now_sigma_deg[3], out.now_sigma_deg[4]);
  if (!out.told[3] || !out.told[4]) {
    std::string which = !out.told[3] ? "D" : "";
    if (!out.told[4]) which += which.empty() ? "E" : " and E";
    out.remarks.push_back(fmt::format(
        "The headings read do not tell {}: the bands hold what compasses usually have (3 deg, 1 "
        "sigma). Read NE, SE, SW and NW to know.",
        which));
    return;
  }
  if (!is_there(size, sigma)) return;
  out.remarks.push_back(fmt::format(
      "D is {} and E {}: soft iron, steel that the Earth magnetises. No screw takes it off; up to "
      "{:.1f} deg of it stay. Another place for the compass, or less steel near it, is the cure.",
      degrees(out.now_deg[3]), degrees(out.now_deg[4]), size));
}

void remark_out_of_reach(SwingAdjustment& out, const std::optional<Limit>& limit) {
  if (!limit || out.no_screw_deg <= limit->value.in_deg()) return;
  out.remarks.push_back(fmt::format(
      "Adjusters cannot bring this compass under {:g} deg: A, D and E alone reach {:.1f} deg.",
      limit->value.in_deg(), out.no_screw_deg));
}

void remark_halving(SwingAdjustment& out, const SwingAdjustOptions& options) {
  if (options.rule != AdjustRule::halving) return;
  out.remarks.push_back(fmt::format(
      "The halving rule leaves A + E ({}) on N and S and A - E ({}) on E and W, as far as these "
      "readings tell; B and C go.",
      degrees(out.now_deg[0] + out.now_deg[4]), degrees(out.now_deg[0] - out.now_deg[4])));
}

void judge_left(SwingAdjustment& out, const SwingAdjustOptions& options) {
  out.verdict.limit = swing_limit_for(out.compass, options.swing);
  if (out.one_heading) {
    out.verdict.because =
        "readings on one heading cannot tell what the compass shows on the others";
    out.verdict.do_next =
        fmt::format("read {} and ask again", swing_heading_text(*out.read_next_deg));
    return;
  }
  const std::string what =
      fmt::format("after this the largest deviation is {:.1f} deg (95 %: {:.1f} to {:.1f}) on {}",
                  out.worst_after_deg, out.worst_after_95_deg.first, out.worst_after_95_deg.second,
                  swing_heading_text(out.worst_after_at_deg));
  if (!out.verdict.limit) {
    out.verdict.because = what + "; there is no limit to judge it by";
    out.verdict.do_next = fmt::format("say --limit \"{}=DEG\" with --limit-basis", out.compass);
    return;
  }
  out.verdict.state = judge(
      {Angle::degrees(out.worst_after_95_deg.first), Angle::degrees(out.worst_after_95_deg.second)},
      *out.verdict.limit);
  out.verdict.because = fmt::format("{}, the limit {:g} deg ({})", what,
                                    out.verdict.limit->value.in_deg(), out.verdict.limit->basis);
  out.verdict.do_next = "swing again after the last turn: the card is made from that swing";
}

std::string turn_words(const AdjusterTurn& turn, double standing_deg) {
  const char* what = turn.adjuster == 'A'   ? "the compass in its mounting"
                     : turn.adjuster == 'B' ? "the E-W screw (B)"
                                            : "the N-S screw (C)";
  const std::string where = turn.station_deg == standing_deg
                                ? fmt::format("here, on {},", swing_heading_text(turn.station_deg))
                                : fmt::format("on {}", swing_heading_text(turn.station_deg));
  return fmt::format("{} turn {} until it reads {}", where, what, swing_heading_text(turn.set_deg));
}

}  // namespace

void fill_adjust_words(SwingAdjustment& out, const AdjustScene& scene,
                       const SwingAdjustOptions& options) {
  judge_left(out, options);
  out.sentence = out.compass + ": ";
  for (std::size_t i = 0; i < out.turns.size(); ++i) {
    out.sentence += (i == 0 ? "" : "; then ") + turn_words(out.turns[i], scene.standing_deg);
  }
  if (out.read_next_deg) {
    out.sentence += fmt::format("{}read {} {}: {}", out.turns.empty() ? "" : "; then ",
                                swing_heading_text(*out.read_next_deg),
                                out.turns.empty() ? "first" : "next", out.why_read);
  }
  if (out.turns.empty() && !out.read_next_deg) {
    out.sentence += "nothing is left that a screw can take off";
  }
  out.sentence += ".";
  if (out.one_heading) return;
  remark_a(out, options);
  remark_soft_iron(out);
  remark_out_of_reach(out, out.verdict.limit);
  remark_halving(out, options);
  if (std::max(out.worst_now_deg, 0.0) > kLarge_deg) {
    out.remarks.push_back(
        "Deviation beyond 20 deg: the reading to set is good to a degree or two. Read again after "
        "the turn and ask once more.");
  }
}

}  // namespace qn
