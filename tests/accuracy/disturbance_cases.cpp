// SPDX-License-Identifier: Apache-2.0
#include "accuracy/disturbance_cases.h"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <numbers>

#include "vocab/expects.h"

namespace qn::accuracy {
namespace {

using namespace simulate;

constexpr std::uint64_t kCaseStream = 210;
constexpr std::string_view kPrefix = "disturbance-";
constexpr double kStrongest_uT = 65.0;  // F: no stronger on the ground anywhere on Earth
// 1 sigma of H and Z: of the size of the field model's own, docs/earth-model.md.
constexpr double kSigmaH_uT = 0.13, kSigmaZ_uT = 0.15;

DisturbanceSettings preset_of(std::string_view table) {
  const auto names = disturbance_table_names();
  QN_EXPECTS(std::find(names.begin(), names.end(), table) != names.end());
  return *disturbance_preset(table.substr(kPrefix.size()));
}

std::string span(const Span& s, const char* unit) {
  char text[64];
  if (s.lo == s.hi) {
    std::snprintf(text, sizeof text, "%g %s", s.lo, unit);
  } else {
    std::snprintf(text, sizeof text, "%g to %g %s", s.lo, s.hi, unit);
  }
  return text;
}

std::string number(double value, const char* unit) {
  char text[64];
  std::snprintf(text, sizeof text, "%g %s", value, unit);
  return text;
}

std::string percent(double share) { return number(100.0 * share, "%"); }

}  // namespace

std::vector<std::string> disturbance_table_names() {
  return {"disturbance-clean", "disturbance-ordinary", "disturbance-hard"};
}

std::string how_disturbance_drawn(std::string_view table) {
  const DisturbanceSettings s = preset_of(table);
  const OperatorHabits& habits = s.operator_habits;
  std::string text =
      "12 to 16 invented devices a run, each state worked once a pass, then everything at once and "
      "each phase's set. Limit 1 degree.\n\n| | |\n|---|---|\n";
  const auto row = [&](const std::string& what, const std::string& value) {
    text += "| " + what + " | " + value + " |\n";
  };
  row("dip, H, F", "0 to 75 degrees, 12 to 40 µT, F at most 65 µT");
  row("H and Z as told, 1 sigma", "off by 0.13 and 0.15 µT");
  row("samples", "5 to 50 Hz, evenly in the logarithm");
  row("noise, 1 sigma per axis", number(s.noise.white_sigma_uT, "µT white, ") +
                                     number(s.noise.slow_sigma_uT, "µT with ") +
                                     number(s.noise.slow_correlation_time_s, "s memory"));
  row("quantum", number(s.quantum_uT, "µT"));
  row("drift", "warm-up " + span(s.drift.warm_up_uT, "µT in ") +
                   span(s.drift.warm_up_time_s, "s; wander ") +
                   number(s.drift.wander_uT, "µT after 20 min"));
  row("effects", span(s.effects.worst_deg, "degrees; none: ") + percent(s.effects.zero_share) +
                     "; heading lost: " + percent(s.effects.lost_share) +
                     "; part comes slowly: " + percent(s.effects.heating_share));
  row("everything on adds", number(s.effects.all_on_extra_uT, "µT"));
  row("passes, dwell, rest", number(static_cast<double>(habits.passes), "passes, ") +
                                 span(habits.dwell_s, "s, ") + span(habits.rest_s, "s"));
  row("marks", "late by " + number(s.marks.common_delay_s, "s ± ") +
                   number(s.marks.jitter_sigma_s, "s; ") + percent(s.marks.tail_share) + " ± " +
                   number(s.marks.tail_sigma_s, "s, at most 8 s"));
  row("steps skipped, substituted; devices the aircraft has not",
      percent(habits.skipped_share) + ", " + percent(habits.substituted_share) + "; " +
          percent(habits.absent_share) + " of the optional");
  row("unplanned", number(static_cast<double>(s.unplanned.trains), "trains, ") +
                       number(static_cast<double>(s.unplanned.steps), "steps, ") +
                       number(static_cast<double>(s.unplanned.pulses), "pulses of ") +
                       span(s.unplanned.size_uT, "µT; spikes of ") +
                       number(s.unplanned.spike_uT, "µT in ") + percent(s.unplanned.spike_share) +
                       " of the samples");
  row("gaps", number(static_cast<double>(s.gaps), "of ") + span(s.gap_s, "s"));
  row("vibration while the engine runs", number(s.vibration_uT, "µT"));
  row("the airframe moves with gear, flaps, engine",
      s.tilt.size_deg.hi > 0.0 ? span(s.tilt.size_deg, "degrees, not logged")
                               : std::string{"no, and the analysis is told so (--rigid)"});
  return text;
}

DisturbanceCase draw_disturbance_case(std::string_view table, std::uint64_t seed) {
  DisturbanceSettings settings = preset_of(table);
  Random random{seed, kCaseStream};
  const double dip = random.uniform(0.0, 75.0) * std::numbers::pi / 180.0;
  settings.horizontal_uT = random.uniform(12.0, std::min(40.0, kStrongest_uT * std::cos(dip)));
  settings.down_uT = settings.horizontal_uT * std::tan(dip);
  settings.heading_deg = random.uniform(0.0, 360.0);
  settings.pitch_deg = random.uniform(-2.0, 8.0);
  settings.roll_deg = random.uniform(-2.0, 2.0);
  settings.rate_Hz = 5.0 * std::pow(10.0, random.uniform());
  const std::size_t devices = 12 + random.below(5);

  DisturbanceCase out;
  out.options.equipment = invented_equipment(devices, seed);
  out.options.earth = {settings.horizontal_uT + kSigmaH_uT * random.normal(),
                       settings.down_uT + kSigmaZ_uT * random.normal(),
                       kSigmaH_uT,
                       kSigmaZ_uT,
                       {},
                       {},
                       "simulated"};
  out.options.limit = {Angle::degrees(1.0), std::string{kStartingLimitBasis}};
  out.options.rigid = settings.tilt.size_deg.hi <= 0.0;
  out.made = make_disturbance_run(out.options.equipment, settings, seed);
  return out;
}

}  // namespace qn::accuracy
