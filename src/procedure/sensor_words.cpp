// SPDX-License-Identifier: Apache-2.0
#include <fmt/core.h>

#include <algorithm>
#include <cmath>

#include "procedure/sensor_words_internal.h"

namespace qn {

std::string_view to_word(Motion motion) {
  switch (motion) {
    case Motion::automatic: return "auto";
    case Motion::tumble: return "tumble";
    case Motion::swing: return "swing";
    case Motion::stations: return "stations";
  }
  return "auto";
}

std::string_view to_word(FitFrame frame) { return frame == FitFrame::body ? "body" : "sensor"; }

namespace sensor_model {
namespace {

// The one action that would narrow the band most.
std::string advice(const Prepared& prepared, const Problem& problem, const Solution& solution,
                   const SensorFit& fit) {
  const bool level_turn = prepared.motion != Motion::tumble;
  if (level_turn && fit.coverage.heading_arc_deg < 300.0) {
    return fmt::format(
        "The turn covered {:.0f}° of heading. Turn through the rest and record again.",
        fit.coverage.heading_arc_deg);
  }
  if (!level_turn && fit.coverage.filled_fraction < 0.35) {
    return "Turn the sensor through more attitudes, nose up, nose down and on each side, and "
           "record again.";
  }
  const ErrorShares shares = error_shares(problem, solution);
  const double largest = std::max({shares.slope, shares.deck, shares.north, shares.vertical});
  if (largest > 0.3 * shares.total) {
    if (largest == shares.slope || largest == shares.deck) {
      if (prepared.log.attitude == Attitude::level) {
        return shares.slope + shares.deck > 0.0 && largest == shares.slope
                   ? "Measure the ground with a level and give --slope-deg; then solve again."
                   : "Measure how the aircraft sits against level flight and give --deck-deg; then "
                     "solve again.";
      }
      return "Check the constant error of roll and pitch on a level surface; the heading hangs on "
             "it.";
    }
    if (largest == shares.north) {
      return "Find north better and give --north-sigma-deg; it shifts every heading alike.";
    }
    return "Turn the sensor through many attitudes instead of a level turn, with roll and pitch in "
           "the log.";
  }
  if (!problem.fixes.empty() && problem.fixes.size() < 8) {
    return "Stand on more known headings, eight or more spread over the circle, and record again.";
  }
  if (!problem.fixes.empty()) {
    return "Place the aircraft on each heading more exactly and give --station-sigma-deg, or stand "
           "on more headings.";
  }
  return "Turn once more, slower, away from everything that moves or runs, and record again.";
}

std::string left_over(const SensorFit& fit) {
  return fmt::format("{:.1f} to {:.1f}", fit.after_worst_95.lo.in_deg(),
                     fit.after_worst_95.hi.in_deg());
}

std::string heading_name(double deg) {
  return fmt::format("{:03.0f}", std::fmod(std::round(deg), 360.0));
}

}  // namespace

void judge_fit(const Prepared& prepared, const Problem& problem, const Solution& solution,
               const Limit& limit, SensorFit& fit) {
  fit.verdict.limit = limit;
  const bool airframe = fit.frame == FitFrame::body;
  fit.verdict.state = airframe ? judge(fit.after_worst_95, limit) : VerdictState::unproven;
  const double hi = fit.after_worst_95.hi.in_deg();
  const bool lost = fit.before.worst.in_deg() > 90.0;
  const std::string before =
      lost ? std::string{"Uncorrected, this sensor shows no heading at all: its own field is stronger "
                         "than the Earth's."}
           : fmt::format("Uncorrected, this sensor's heading is wrong by up to {:.1f}°, worst near {}.",
                         fit.before.worst.in_deg(), heading_name(fit.before.at_heading_deg));
  if (!airframe) {
    fit.sentence = fmt::format(
        "{} The correction leaves at most {:.1f}° in the sensor's own axes; how these lie in the "
        "airframe is not known yet.",
        before, hi);
    fit.verdict.because = fmt::format(
        "The worst error after correction is {}° in the sensor's own axes (95 % band); "
        "its angle to the airframe is unknown.",
        left_over(fit));
    fit.verdict.do_next =
        prepared.motion == Motion::tumble
            ? "Fit the sensor, stand the aircraft on known magnetic headings while it records, and "
              "solve again with --stations or --known-heading."
            : "Stand the aircraft on known magnetic headings while it records and solve again with "
              "--stations or --known-heading T_s,HEADING.";
    return;
  }
  fit.sentence =
      fmt::format("{} The correction leaves at most {:.1f}° in level flight.", before, hi);
  fit.verdict.because =
      fmt::format("The worst error after correction is {}° (95 % band) against a limit of {:.1f}°.",
                  left_over(fit), limit.value.in_deg());
  fit.verdict.do_next =
      fit.verdict.state == VerdictState::within
          ? "Enter the correction, then check it: read headings on a rose and fly the air check."
          : advice(prepared, problem, solution, fit);
}

void leave_undecided(const SensorFitOptions& options, const std::string& because,
                     const std::string& do_next, SensorFit& fit) {
  fit.verdict.state = VerdictState::unproven;
  fit.verdict.limit = options.limit;
  fit.verdict.because = because;
  fit.verdict.do_next = do_next;
  fit.sentence = "Not decided: " + because;
  fit.unobserved.push_back({"hard and soft iron",
                            "without a turn the Earth's part of the reading "
                            "cannot be told from the aircraft's"});
}

}  // namespace sensor_model
}  // namespace qn
