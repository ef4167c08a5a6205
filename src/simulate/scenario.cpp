// SPDX-License-Identifier: Apache-2.0
#include "simulate/scenario.h"

#include <array>

namespace qn::simulate {
namespace {

// Stream numbers of make_recording are small; this one must be another.
constexpr std::uint64_t kFieldStream = 100;

/// A remote sensor in the wing: a steel bolt too near, a tinned bracket, the usual small noise.
SensorTruth wing_sensor() {
  SensorTruth truth;
  truth.soft_iron = {{{1.031, 0.012, -0.009}, {0.006, 0.977, 0.014}, {-0.011, 0.008, 1.012}}};
  truth.hard_iron_uT = {5.9, -3.4, 4.1};  // 7.9 uT in all
  truth.noise = {0.04, 0.05, 0.5};
  truth.quantum_uT = 0.01;
  return truth;
}

/// Stands on the apron before the hangar: drained to the south-west, a little low on one leg.
void stand_on_apron(SensorTruth& truth) {
  truth.slope = {0.4, 0.3};
  truth.deck = {0.3, 1.1};
}

void log_attitude(SensorTruth& truth) {
  truth.attitude = AttitudeColumns{0.12, 0.04, 8, 0.06, -0.05};
}

Stations compass_rose() {
  Stations stations;
  stations.placement_sigma_deg = 0.4;
  stations.north_sigma_deg = 0.15;
  stations.turn_s = 10.0;
  return stations;
}

RecordingPlan demo_plan() {
  RecordingPlan plan{compass_rose(), wing_sensor(), {}, 1};
  stand_on_apron(plan.truth);
  log_attitude(plan.truth);
  // One passage of 6 s: the share is a little less than its part of 264 s.
  plan.truth.steel = {0.0218, 6.0, 6.0};
  return plan;
}

RecordingPlan missed_plan() {
  Stations stations = compass_rose();
  stations.missed = 4;
  stations.repeated = 9;
  RecordingPlan plan{stations, wing_sensor(), {}, 1};
  stand_on_apron(plan.truth);
  log_attitude(plan.truth);
  return plan;
}

RecordingPlan swing_plan(double arc_deg) {
  Swing swing;
  swing.arc_deg = arc_deg;
  swing.start_heading_deg = 20.0;
  RecordingPlan plan{swing, wing_sensor(), {}, 1};
  stand_on_apron(plan.truth);
  return plan;
}

RecordingPlan tumble_plan() { return {Tumble{}, wing_sensor(), {50.0, 0.002, 0, 0}, 1}; }

RecordingPlan counts_plan() {
  RecordingPlan plan = tumble_plan();
  plan.truth.counts_per_uT = 6.5;
  plan.truth.quantum_uT = 1.0 / 6.5;
  return plan;
}

RecordingPlan clipped_plan() {
  RecordingPlan plan = tumble_plan();
  plan.truth.rail_uT = 40.0;
  return plan;
}

RecordingPlan rest_plan() {
  RecordingPlan plan{AtRest{60.0, 75.0}, wing_sensor(), {}, 1};
  stand_on_apron(plan.truth);
  return plan;
}

struct Entry {
  std::string_view name;
  std::string_view title;
  RecordingPlan (*plan)();
};

constexpr std::array<Entry, 8> kEntries{{
    {"demo",
     "a remote sensor in the wing, turned from mark to mark on a compass rose while somebody "
     "walks past with a steel toolbox",
     demo_plan},
    {"missed", "the same rose, but one mark was driven past and another one taken twice",
     missed_plan},
    {"swing", "one level turn on a sloping apron, no attitude logged, no known headings",
     [] { return swing_plan(360.0); }},
    {"arc", "less than half a level turn: the cable was too short",
     [] { return swing_plan(150.0); }},
    {"tumble", "the sensor out of the wing, turned through all attitudes by hand", tumble_plan},
    {"counts", "the same by hand, recorded in the sensor's own counts", counts_plan},
    {"clipped", "the same by hand, with an axis that runs into its rail", clipped_plan},
    {"rest", "nobody turned anything", rest_plan},
}};

}  // namespace

std::vector<std::string> scenario_names() {
  std::vector<std::string> names;
  for (const Entry& entry : kEntries) names.emplace_back(entry.name);
  return names;
}

std::optional<Scenario> scenario_named(std::string_view name, std::uint64_t seed) {
  for (const Entry& entry : kEntries) {
    if (entry.name != name) continue;
    Scenario out;
    out.name = entry.name;
    out.title = entry.title;
    out.aircraft = "Tern-and-a-half, home built (invented)";
    out.hangar = "Nettlewick barn (invented)";
    out.latitude_deg = 49.3;
    out.longitude_deg = 10.2;
    out.date_iso = "2026-05-14";
    out.plan = entry.plan();
    out.plan.seed = seed;
    return out;
  }
  return std::nullopt;
}

RecordingPlan with_field(const Scenario& scenario, const LocalField& model) {
  RecordingPlan plan = scenario.plan;
  Random random{plan.seed, kFieldStream};
  plan.truth.true_field = draw_true_field(model, random);
  return plan;
}

}  // namespace qn::simulate
