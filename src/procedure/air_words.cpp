// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "procedure/air_words_internal.h"
#include "vocab/heading.h"

namespace qn {
namespace {

constexpr double kOneLine_deg = 20.0;  // legs this near to one line do not tell the wind across

std::string pair_text(const AirSolution& s) {
  return air_heading(s.next_legs_deg[0]) + " and " + air_heading(s.next_legs_deg[1]);
}

double pointing_of(const AirRow& row) {
  return row.indicated_deg.value_or(row.track_deg.value_or(0.0));
}

bool along_one_line(const AirFit& fit) {
  for (const AirRow& row : fit.rows) {
    const double off = wrap_180_deg(pointing_of(row) - pointing_of(fit.rows.front()));
    if (std::min(std::fabs(off), 180.0 - std::fabs(off)) > kOneLine_deg) return false;
  }
  return true;
}

bool one_way(const AirFit& fit) {
  return std::all_of(fit.rows.begin(), fit.rows.end(), [&](const AirRow& row) {
    return std::fabs(wrap_180_deg(pointing_of(row) - pointing_of(fit.rows.front()))) < 90.0;
  });
}

void say_no_wind(AirSolution& out, const AirFit& fit) {
  const std::size_t n = fit.rows.size();
  if (along_one_line(fit)) {
    const double first = pointing_of(fit.rows.front());
    out.verdict.because =
        n == 1 ? std::string{"one leg cannot tell wind from airspeed and heading error"}
        : one_way(fit)
            ? fmt::format(
                  "all {} legs point nearly the same way: they tell neither wind nor "
                  "airspeed",
                  n)
            : fmt::format(
                  "{} legs along one line cannot tell the wind across it from an error of "
                  "the heading",
                  n);
    out.verdict.do_next = fmt::format(
        "fly the same again with two legs across, indicated {} and {}",
        air_heading(wrap_360_deg(first + 90.0)), air_heading(wrap_360_deg(first + 270.0)));
    return;
  }
  out.verdict.because =
      fmt::format("{} leg{} in these directions do{} not tell wind and airspeed apart", n,
                  n == 1 ? "" : "s", n == 1 ? "es" : "");
  out.verdict.do_next =
      out.next_legs_deg.empty()
          ? "add legs until there are four, 90 degrees apart"
          : fmt::format("add two legs, indicated {}, and better four, 90 degrees apart",
                        pair_text(out));
}

std::string found(const AirSolution& s) {
  return fmt::format("the largest deviation is {:.1f} deg (95 %: {:.1f} to {:.1f}) on {}",
                     s.worst_deviation_deg, s.worst_95_deg.first, s.worst_95_deg.second,
                     air_heading(s.worst_at_deg));
}

std::string what_would_settle(const AirSolution& s) {
  if (!s.next_legs_deg.empty() && s.next_worst_sigma_deg < 0.8 * s.now_worst_sigma_deg) {
    return fmt::format("fly two more legs, indicated {}, and solve all legs together",
                       pair_text(s));
  }
  return "fly with the ball in the middle throughout and say how well (--sideslip-sigma-deg), say "
         "how well the variation is known (--variation-sigma-deg), and fly the legs again in "
         "smooth air";
}

void judge_air(AirSolution& out, const AirFit& fit, const AirOptions& options) {
  Verdict& v = out.verdict;
  v.limit = options.limit;
  if (!out.wind_known) {
    say_no_wind(out, fit);
    return;
  }
  if (!fit.headings) {
    v.because = "the legs have no indicated heading: wind and airspeed are all they can tell";
    v.do_next = "write down what the heading display shows on each leg (indicated_deg)";
    return;
  }
  if (!out.worst_known) {
    v.because = fmt::format(
        "{} and the variation is not known, so A is not, nor how far the "
        "display is off",
        norths_text(options));
    v.do_next = "give the variation: --variation-deg V, or --at LAT,LON with --on DATE";
    return;
  }
  if (!v.limit) {
    v.because = found(out) + "; there is no limit to judge it by";
    v.do_next = "say what the display may be off: --limit-deg DEG with --limit-basis";
    return;
  }
  v.state = judge({Angle::degrees(out.worst_95_deg.first), Angle::degrees(out.worst_95_deg.second)},
                  *v.limit);
  v.because = fmt::format("{}, the limit {:g} deg ({})", found(out), v.limit->value.in_deg(),
                          v.limit->basis);
  if (v.state != VerdictState::unproven && !air_readings_weighed(fit)) {
    v.state = VerdictState::unproven;
    v.because +=
        fmt::format("; with {} legs a reading written down wrong is not seen", fit.rows.size());
  }
  if (v.state == VerdictState::unproven) v.do_next = what_would_settle(out);
  if (v.state == VerdictState::over) {
    v.do_next =
        "look at coefficients and residuals, correct the installation or compensate, and "
        "fly again; do not navigate by it";
  }
}

void remark_air(AirSolution& out, const AirFit& fit) {
  if (out.exact()) {
    out.remarks.push_back(
        "Deviation beyond 20 deg: the exact equation is used, and A to E are its coefficients "
        "times 57.3, not terms of the sine series.");
  }
  if (out.wind_known && fit.headings && out.heading_noise_deg > 2.0 * fit.prior.heading_sigma_deg) {
    out.remarks.push_back(fmt::format(
        "The headings scatter by {:.1f} deg, more than assumed: five coefficients may be too few, "
        "or the display lags or sticks. See the residuals.",
        out.heading_noise_deg));
  }
  if (out.wind_known && out.velocity_noise > 2.0) {
    out.remarks.push_back(fmt::format(
        "Ground velocities scatter {:.1f} times as much as assumed: rough air, changing power or "
        "height. Fly again in smoother air for narrower bands.",
        out.velocity_noise));
  }
}

}  // namespace

void fill_air_words(AirSolution& out, const AirFit& fit, const AirOptions& options) {
  judge_air(out, fit, options);
  if (out.wind_known) {
    suggest_other_north(out, options);
    remark_air(out, fit);
    say_air_doubts(out, fit);
    say_air_limits(out, fit, options);
  }
  say_air_assumptions(out, fit, options);
  out.sentence = fmt::format("{}; {}.", to_word(out.verdict.state), out.verdict.because);
}

}  // namespace qn
