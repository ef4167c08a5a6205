// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "procedure/air_fit_internal.h"
#include "vocab/heading.h"

namespace qn {
namespace {

constexpr const char* kAirLetters = "ABCDE";
constexpr double kUsualA_deg = 2.0;     // what a display's A usually is, for the mix-up of norths
constexpr double kClearlyBetter = 3.0;  // as a logarithm: 20 to 1
constexpr double kVariationSeen_deg = 3.0;
constexpr double kOneLine_deg = 20.0;  // legs this near to one line do not tell the wind across

std::string air_heading(double deg) {
  const double whole = std::round(deg);
  return fmt::format("{:03.0f}", whole >= 360.0 ? 0.0 : whole);
}

std::string leg_name(std::size_t i) { return fmt::format("leg {}", i + 1); }

std::string pair_text(const AirSolution& s) {
  return air_heading(s.next_legs_deg[0]) + " and " + air_heading(s.next_legs_deg[1]);
}

std::string untold(const AirSolution& s) {
  std::string out;
  for (std::size_t j = 0; j < 5; ++j) {
    if (s.supported[j]) continue;
    if (!out.empty()) out += ", ";
    out += kAirLetters[j];
  }
  const std::size_t comma = out.rfind(", ");
  if (comma != std::string::npos) out.replace(comma, 2, " and ");
  return out;
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
    v.because = "tracks are true and the variation is not said: A cannot be told";
    v.do_next = "say --variation-deg V, or --at LAT,LON with --on DATE";
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
  if (v.state == VerdictState::unproven) v.do_next = what_would_settle(out);
  if (v.state == VerdictState::over) {
    v.do_next =
        "look at coefficients and residuals, correct the installation or compensate, and "
        "fly again; do not navigate by it";
  }
}

void doubt_air(AirSolution& out, const AirFit& fit) {
  if (!out.doubtful_leg) return;
  const auto it = std::find(fit.leg_of_row.begin(), fit.leg_of_row.end(), *out.doubtful_leg);
  const AirRow& row = fit.rows[static_cast<std::size_t>(it - fit.leg_of_row.begin())];
  const std::string where = leg_name(*out.doubtful_leg);
  out.remarks.push_back(fmt::format(
      "{}{}{} does not agree with the others by far more than their scatter: a reading written "
      "wrong, or not straight, level and steady. It is used all the same.",
      where, row.indicated_deg ? ", indicated " + air_heading(*row.indicated_deg) : "",
      row.track_deg ? ", track " + air_heading(*row.track_deg) + "," : ""));
  out.verdict.state = VerdictState::unproven;
  out.verdict.because += "; " + where + " does not agree with the others";
  out.verdict.do_next = "look at how " + where + " was written down, correct it or leave it out, " +
                        "and solve again";
}

// The residuals are the same whichever north was meant: only A tells, by being the variation.
void suggest_other_north(AirSolution& out, const AirOptions& options) {
  if (!options.variation_deg || !out.supported[0]) return;
  const double v = *options.variation_deg;
  if (std::fabs(v) < kVariationSeen_deg) return;
  const double a = out.curve.coefficients_deg[0];
  const double s2 = kUsualA_deg * kUsualA_deg + out.sigma_deg[0] * out.sigma_deg[0];
  const auto better = [&](double other) {
    return (a * a - other * other) / (2.0 * s2) > kClearlyBetter &&
           std::fabs(other) < 0.5 * std::fabs(a);
  };
  if (options.tracks_are == TrackNorth::true_north && better(a + v)) {
    out.remarks.push_back(fmt::format(
        "A is {:+.1f} deg and the variation {:+.1f}: either the tracks are magnetic (then say "
        "--tracks-are magnetic: A becomes {:+.1f}), or the display shows true headings. Nothing "
        "was changed.",
        a, v, a + v));
  } else if (options.tracks_are == TrackNorth::magnetic && better(a - v)) {
    out.remarks.push_back(
        fmt::format("A is {:+.1f} deg and the variation {:+.1f}: the tracks look like true ones "
                    "(then leave out "
                    "--tracks-are magnetic: A becomes {:+.1f}). Nothing was changed.",
                    a, v, a - v));
  } else if (options.tracks_are == TrackNorth::true_north && better(a + 2.0 * v)) {
    out.remarks.push_back(fmt::format(
        "A is {:+.1f} deg, twice the variation of {:+.1f} the other way: look at its sign, east is "
        "positive. Nothing was changed.",
        a, v));
  }
}

void say_limits_of_flight(AirSolution& out, const AirFit& fit) {
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
    say.push_back("A: tracks are true and the variation is not known.");
  }
  const std::string missing = untold(out);
  if (!missing.empty()) {
    say.push_back(fmt::format(
        "{}: the headings flown cannot tell {}. What displays usually have (1 sigma: A 20, B and C "
        "30, D and E 3 deg) stands in the bands instead.",
        missing, missing.size() == 1 ? "it" : "them"));
  }
  if (out.combination) {
    say.push_back(fmt::format(
        "D and E by themselves; what is told is one combination of them: {:.2f} E {} {:.2f} D = "
        "{:+.1f} +- {:.1f} deg.",
        out.combination->of_e, out.combination->of_d < 0.0 ? "-" : "+",
        std::fabs(out.combination->of_d), out.combination->value_deg,
        1.96 * out.combination->sigma_deg));
  }
  if (!out.wind_change_kt_per_hour) {
    say.push_back(fmt::format(
        "Whether the wind changed during the flight: no leg returns late enough to an earlier "
        "heading. {:g} kt an hour (1 sigma, each axis) stand in the bands.",
        fit.prior.sd[kAirRate]));
  }
  say.push_back("Turning errors, lag, and loads that were not on.");
}

void remark_air(AirSolution& out, const AirFit& fit, const AirOptions& options) {
  suggest_other_north(out, options);
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
    remark_air(out, fit, options);
    doubt_air(out, fit);
    say_limits_of_flight(out, fit);
  }
  say_air_assumptions(out, fit, options);
  out.sentence = fmt::format("{}; {}.", to_word(out.verdict.state), out.verdict.because);
}

}  // namespace qn
