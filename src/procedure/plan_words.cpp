// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>
#include <set>

#include "procedure/plan_times_internal.h"
#include "procedure/plan_words_internal.h"

namespace qn {
namespace {

// A light aircraft's small battery, and the share of it that a run may take without a charger. Own
// assumptions, printed with the advice.
constexpr double kSmallBattery_Ah = 8.0;
constexpr double kShare = 0.25;
constexpr double kLongRun_s = 2.0 * 3600.0;

std::string degrees(Angle angle) {
  return fmt::format("{:.{}f} deg", angle.in_deg(), angle.in_deg() < 0.095 ? 2 : 1);
}

bool has_kind(const std::vector<Device>& equipment, DeviceKind kind) {
  return std::any_of(equipment.begin(), equipment.end(),
                     [&](const Device& d) { return d.kind == kind; });
}

std::string state_words(const PlannedState& s) { return s.device + " (" + s.state + ")"; }

void say_short_states(const DisturbancePlan& plan, std::vector<std::string>& remarks) {
  std::vector<std::string> names;
  Angle widest;
  for (const PlannedState& s : plan.states) {
    if (s.enough) continue;
    names.push_back(fmt::format("{} {}", state_words(s), degrees(s.half_width)));
    widest = std::max(widest, s.half_width);
  }
  if (names.empty()) return;
  remarks.push_back(fmt::format(
      "Even {} visits do not bring {} under a tenth of the limit; expected half-width: {}. A "
      "quieter sensor, more samples a second, a longest time on that may be exceeded, or a limit "
      "of {} would.",
      kMostVisits, names.size() == 1 ? "this one" : "these", fmt::join(names, ", "),
      degrees(10.0 * widest)));
}

void say_in_a_row(const DisturbancePlan& plan, std::vector<std::string>& remarks) {
  std::set<std::string> names;
  for (std::size_t i = 1; i < plan.steps.size(); ++i) {
    if (plan.steps[i].device == plan.steps[i - 1].device) names.insert(plan.steps[i].device);
  }
  if (names.empty()) return;
  remarks.push_back(fmt::format(
      "{} {} in a row somewhere, because nothing else of that pass or caution could come between.",
      fmt::join(names, ", "), names.size() == 1 ? "comes twice" : "come twice"));
}

bool mentions_jacks(const std::string& caution) {
  const std::string usual = usual_caution(DeviceKind::moving);
  std::string own = caution;
  if (const std::size_t at = own.find(usual); at != std::string::npos) own.erase(at, usual.size());
  const std::string engine = usual_caution(DeviceKind::engine);
  if (const std::size_t at = own.find(engine); at != std::string::npos) {
    own.erase(at, engine.size());
  }
  return own.find("jack") != std::string::npos || own.find("Jack") != std::string::npos;
}

/// Jacks turn and tilt the aircraft, which a sensor takes for a disturbance.
void say_jacks(const DisturbancePlan& plan, std::vector<std::string>& remarks) {
  const bool any = std::any_of(plan.steps.begin(), plan.steps.end(),
                               [](const PlanStep& step) { return mentions_jacks(step.caution); });
  if (!any) return;
  remarks.emplace_back(
      "Going onto jacks turns and tilts the aircraft a little, and the sensor sees that. Either "
      "leave it on jacks for the whole run and skip the engine's steps, or work the steps that "
      "need jacks as a recording of their own, with one lamp between any two of them.");
}

}  // namespace

std::string usual_caution(DeviceKind kind) {
  switch (kind) {
    case DeviceKind::moving:
      return "Jacks and supports in place where it needs them, people clear of all that moves, one "
             "person outside watching.";
    case DeviceKind::engine:
      return "Propeller arc clear and watched, chocks set, brakes held, fire extinguisher at hand. "
             "Never run an engine on jacks.";
    default: return "";
  }
}

std::string joined_cautions(const std::vector<std::string>& cautions) {
  std::vector<std::string> different;
  for (std::string words : cautions) {
    if (words.empty()) continue;
    if (std::string{".!?"}.find(words.back()) == std::string::npos) words += '.';
    if (std::find(different.begin(), different.end(), words) == different.end()) {
      different.push_back(words);
    }
  }
  return fmt::format("{}", fmt::join(different, " "));
}

std::string plan_safety(const std::vector<Device>& equipment) {
  std::string text =
      "This plan advises. The aircraft's papers, the local rules and the licensed person who signs "
      "decide what may be worked on the ground, and how. One person works the switches, another "
      "writes down the times; either may stop the run.";
  if (has_kind(equipment, DeviceKind::engine)) {
    text += " Ignition off and key out until a step starts the engine.";
  } else {
    text += " Ignition off, key out.";
  }
  return text + " Battery charged and its cover closed.";
}

std::string battery_advice(double amp_hours, const std::vector<std::string>& current_unknown) {
  std::string text = fmt::format("The run takes {}{:.1f} Ah.",
                                 current_unknown.empty() ? "" : "at least ", amp_hours);
  const double most = kShare * kSmallBattery_Ah;
  if (amp_hours > most || !current_unknown.empty()) {
    text += fmt::format(
        " {}: connect a charger or ground supply before the recording starts, some metres from "
        "the sensor, and leave it alone until the recording ends.",
        amp_hours > most ? fmt::format("That is more than a quarter of a small {:.0f} Ah battery",
                                       kSmallBattery_Ah)
                         : std::string{"The list does not state all currents"});
  } else {
    text +=
        " A charged battery carries that; a charger, if used, stays on from before the start to "
        "after the end.";
  }
  return text;
}

std::vector<std::string> plan_assumptions(const PlanNoise& noise) {
  return {
      fmt::format(
          "Noise: {:.3g} uT (1 sigma) independent from sample to sample at {:.3g} a second, "
          "and {:.3g} uT that remembers itself for {:.3g} s (own assumption: half the white "
          "noise).",
          noise.white_uT, noise.rate_Hz, noise.correlated_uT, noise.correlation_s),
      fmt::format(
          "Drift: the rest field walks by {:.3g} uT (1 sigma) in a minute (own assumption). "
          "Holding much longer than {:.0f} s therefore teaches nothing; repeating does.",
          noise.walk_uT_per_sqrt_min, noise.time_scale_s),
      fmt::format(
          "{:.0f} s at either end of each hold and rest are not counted, because the moment "
          "of a switch is known no better (own assumption).",
          kUncountedEnd_s),
      "Half-widths are 1.96 sigma of the horizontal field along the disturbance, as the heading it "
      "turns at the worst heading.",
      "Moving parts with a transit time draw their current only in transit (own assumption); all "
      "others as long as they are on.",
  };
}

std::vector<std::string> plan_remarks(const DisturbancePlan& plan) {
  std::vector<std::string> remarks;
  say_short_states(plan, remarks);
  say_in_a_row(plan, remarks);
  say_jacks(plan, remarks);
  std::vector<std::string> optional;
  for (const PlanStep& step : plan.steps) {
    if (step.optional && step.pass == 1) optional.push_back(step.device);
  }
  optional.erase(std::unique(optional.begin(), optional.end()), optional.end());
  if (!optional.empty()) {
    remarks.push_back(
        fmt::format("Optional: {}. What the aircraft does not have is skipped: tick "
                    "the box and write no mark for it.",
                    fmt::join(optional, ", ")));
  }
  if (plan.total_s > kLongRun_s) {
    remarks.push_back(fmt::format(
        "The run takes {}. It can be split between two passes: switch all off, end the recording, "
        "and begin the next with the same resting time.",
        plan_duration(plan.total_s)));
  }
  return remarks;
}

std::string plan_sentence(const DisturbancePlan& plan) {
  std::set<std::string> devices;
  std::size_t enough = 0;
  Angle widest;
  for (const PlannedState& s : plan.states) {
    devices.insert(s.device);
    if (!s.enough) continue;
    ++enough;
    widest = std::max(widest, s.half_width);
  }
  const std::string work = fmt::format("{} {} in {} steps take {}", devices.size(),
                                       devices.size() == 1 ? "device" : "devices",
                                       plan.steps.size(), plan_duration(plan.total_s));
  if (enough == 0) return work + ", and none is then known to a tenth of the limit.";
  const std::string known =
      enough == plan.states.size()
          ? "each is then known"
          : fmt::format("{} of {} states are then known", enough, plan.states.size());
  return fmt::format("{}; {} to {:.{}f} degrees or better.", work, known, widest.in_deg(),
                     widest.in_deg() < 0.095 ? 2 : 1);
}

std::string plan_duration(double seconds) {
  const long long whole = std::llround(seconds);
  if (whole < 90) return fmt::format("{} s", whole);
  const long long minutes = (whole + 30) / 60;
  if (minutes < 60) return fmt::format("{} min", minutes);
  return minutes % 60 == 0 ? fmt::format("{} h", minutes / 60)
                           : fmt::format("{} h {} min", minutes / 60, minutes % 60);
}

}  // namespace qn
