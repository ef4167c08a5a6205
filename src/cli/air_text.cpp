// SPDX-License-Identifier: Apache-2.0
#include "cli/air_text.h"

#include <fmt/format.h>

#include <cmath>

#include "cli/folded_text.h"

namespace qn {
namespace {

std::string air_items(const char* title, const std::vector<std::string>& lines) {
  if (lines.empty()) return "";
  std::string out = fmt::format("\n{}\n", title);
  for (const std::string& line : lines) out += listed(line);
  return out;
}

std::vector<std::string> whats(const std::vector<DoubtfulLeg>& doubts) {
  std::vector<std::string> out;
  for (const DoubtfulLeg& d : doubts) out.push_back(d.what);
  return out;
}

std::string degrees(const std::optional<double>& deg) {
  if (!deg) return "  -";
  const double whole = std::round(*deg);
  return fmt::format("{:03.0f}", whole >= 360.0 ? 0.0 : whole);
}

std::string wind_lines(const AirSolution& s) {
  std::string out =
      fmt::format("\n  Wind {:.1f} kt from {}{}, 1 sigma {:.1f} east, {:.1f} north\n", s.wind_kt,
                  degrees(s.wind_from_deg), s.wind_is_magnetic ? " magnetic" : "",
                  s.wind_sigma_kt[0], s.wind_sigma_kt[1]);
  out += fmt::format("  True airspeed {:.1f} kt, 95 % {:.1f} to {:.1f}\n", s.tas_kt,
                     s.tas_95_kt.first, s.tas_95_kt.second);
  if (s.wind_change_kt_per_hour) {
    out += fmt::format(
        "  Wind changed by {:+.1f} kt an hour to the east, {:+.1f} to the north, 1 sigma {:.1f} "
        "and {:.1f}\n",
        (*s.wind_change_kt_per_hour)[0], (*s.wind_change_kt_per_hour)[1], s.wind_change_sigma[0],
        s.wind_change_sigma[1]);
  }
  return out;
}

std::string air_coefficients(const AirSolution& s) {
  std::string out = "\n       deg  1 sigma     95 % band\n";
  for (std::size_t j = 0; j < 5; ++j) {
    const char letter = "ABCDE"[j];
    if (!s.supported[j]) {
      out += fmt::format("  {}   not told by this flight\n", letter);
      continue;
    }
    out += fmt::format("  {} {:+7.2f}  {:7.2f}  {:+7.2f} to {:+7.2f}\n", letter,
                       s.curve.coefficients_deg[j], s.sigma_deg[j], s.band_95_deg[j].first,
                       s.band_95_deg[j].second);
  }
  return out;
}

std::string air_curve(const AirSolution& s) {
  if (s.points.empty()) return "";
  std::string out = "\n  indicated  deviation     95 % band\n";
  for (std::size_t k = 0; k < s.points.size(); k += 3) {
    const AirPoint& p = s.points[k];
    out += fmt::format("     {:03.0f}       {:+6.1f}   {:+6.1f} to {:+6.1f}\n", p.indicated_deg,
                       p.deviation_deg, p.lo_deg, p.hi_deg);
  }
  return out;
}

std::string leg_line(std::size_t number, const AirLeg& leg, const AirLegResult& r) {
  std::string out =
      fmt::format("  {:>3}  {}        {}    {:6.1f}     ", number, degrees(leg.indicated_deg),
                  degrees(leg.track_deg), leg.groundspeed_kt);
  if (!r.used && !r.residual_deg) return out + r.why_not + "\n";
  out += degrees(r.true_heading_deg);
  out += r.along_kt ? fmt::format("       {:+5.1f}", *r.along_kt) : std::string{"           -"};
  out += r.residual_deg ? fmt::format("     {:+5.1f}", *r.residual_deg) : std::string{"         -"};
  return out + (r.used ? "\n" : "  set aside\n");
}

std::string legs_table(const AirDocument& document) {
  std::string out = "\n  leg  indicated  track  speed, kt  true heading  air, kt  residual, deg\n";
  for (std::size_t i = 0; i < document.legs.size(); ++i) {
    const AirLegResult r = i < document.air.legs.size() ? document.air.legs[i] : AirLegResult{};
    out += leg_line(i + 1, document.legs[i], r);
  }
  return out;
}

std::string stretches_table(const AirDocument& document) {
  std::string out = "\n  from s   to s\n";
  std::size_t number = 0;
  for (const FlightStretch& s : document.stretches) {
    out += fmt::format("  {:6.0f} {:6.0f}  {}\n", s.from_s, s.to_s,
                       s.used ? fmt::format("leg {}", ++number) : "not used: " + s.why_not);
  }
  return out;
}

}  // namespace

std::string air_text(const AirDocument& document) {
  const AirSolution& s = document.air;
  std::string out = folded(s.sentence) + "\n";
  if (s.wind_known) {
    out += wind_lines(s);
    if (!s.points.empty() || s.supported[1]) out += air_coefficients(s) + air_curve(s);
  }
  if (!document.legs.empty()) out += legs_table(document);
  if (document.from_log) out += stretches_table(document);
  out += air_items("Set aside", whats(s.gross));
  out += air_items("One of these is probably wrong; all are used", whats(s.suspects));
  out += air_items("Look at", s.remarks);
  out += air_items("What this flight cannot prove", s.cannot_prove);
  std::vector<std::string> next;
  if (!s.verdict.do_next.empty()) next.push_back("Next: " + s.verdict.do_next + ".");
  if (!s.next_legs_deg.empty() && s.wind_known) {
    next.push_back(fmt::format(
        "The two further legs that would tell most: indicated {} and {}. The curve is then known "
        "to {:.1f} deg (1 sigma, where it is worst) instead of {:.1f}, sideslip and variation "
        "aside.",
        degrees(s.next_legs_deg[0]), degrees(s.next_legs_deg[1]), s.next_worst_sigma_deg,
        s.now_worst_sigma_deg));
  }
  out += air_items("What to do", next);
  out += air_items("How it was read", document.how_read);
  out += air_items("Assumed or given", s.assumptions);
  return out + "\n" + listed("Not for navigation by this display until it agrees.");
}

std::string air_plan_text(const AirPlanDocument& document) {
  const AirPlan& plan = document.plan;
  std::string out = fmt::format(
      "{} legs in {:.0f} minutes\n", plan.legs.size(),
      static_cast<double>(plan.legs.size()) * document.request.leg_minutes.value_or(0.0));
  out += "\nBefore you start\n";
  for (const std::string& line : plan.cautions) out += listed(line);
  out += fmt::format("\n  leg  fly indicated  minute   expect {} track  speed, kt\n",
                     document.variation_deg ? "true" : "magnetic");
  for (std::size_t i = 0; i < plan.legs.size(); ++i) {
    const PlannedLeg& leg = plan.legs[i];
    out += fmt::format("  {:>3}       {}       {:5.1f}          {}          {:5.0f}\n", i + 1,
                       degrees(leg.indicated_deg), leg.at_minute, degrees(leg.track_deg),
                       leg.groundspeed_kt);
  }
  out += "\nWhat this will tell, 1 sigma\n\n ";
  for (std::size_t j = 0; j < 5; ++j) {
    out += fmt::format(" {} {:.1f} deg  ", "ABCDE"[j], plan.sigma_deg[j]);
  }
  out += fmt::format(
      "\n  the curve where it is worst {:.1f} deg (as many legs once around: {:.1f})\n  the wind "
      "along its worst axis {:.1f} kt\n\n",
      plan.curve_sigma_deg, plan.even_sigma_deg, plan.wind_sigma_kt);
  for (const std::string& line : plan.remarks) out += listed(line);
  for (const std::string& line : plan.assumptions) out += listed(line);
  return out;
}

}  // namespace qn
