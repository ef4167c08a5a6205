// SPDX-License-Identifier: Apache-2.0
#include "simulate/disturbance_settings.h"

#include <array>

namespace qn::simulate {
namespace {

DisturbanceSettings clean() {
  DisturbanceSettings s;
  s.noise = {0.05, 0.0, 0.0};
  s.drift = {{0.0, 0.0}, {300, 1200}, 0.1};
  s.marks = {0.3, 0.3, 0.0, 0.0};
  s.operator_habits.passes = 2;
  return s;
}

DisturbanceSettings ordinary() {
  DisturbanceSettings s;
  s.noise = {0.1, 0.05, 0.5};
  s.quantum_uT = 0.02;
  s.vibration_uT = 0.1;
  s.gaps = 1;
  s.log_temperature = true;
  s.effects.heating_share = 0.1;
  s.operator_habits.passes = 3;
  s.operator_habits.combination_spread_s = 1.5;
  s.operator_habits.skipped_share = 0.03;
  s.operator_habits.substituted_share = 0.02;
  s.operator_habits.absent_share = 0.3;
  s.marks = {0.8, 0.7, 0.05, 3.0};
  s.drift = {{0.5, 3.0}, {300, 1200}, 0.4};
  s.unplanned = {1, 0, 1, {0.2, 2.0}, 2e-4, 5.0};
  s.tilt = {{0.05, 0.15}};
  return s;
}

DisturbanceSettings hard() {
  DisturbanceSettings s = ordinary();
  s.noise = {0.15, 0.12, 1.5};
  s.quantum_uT = 0.15;
  s.vibration_uT = 0.3;
  s.gaps = 4;
  s.effects.heating_share = 0.2;
  s.effects.lost_share = 0.03;
  s.effects.all_on_extra_uT = 0.5;
  s.operator_habits.combination_spread_s = 3.0;
  s.operator_habits.skipped_share = 0.08;
  s.operator_habits.substituted_share = 0.05;
  s.operator_habits.absent_share = 0.5;
  s.marks = {1.5, 1.5, 0.12, 5.0};
  s.drift = {{2.0, 6.0}, {300, 1200}, 1.5};
  s.unplanned = {2, 1, 2, {0.3, 4.0}, 1e-3, 8.0};
  s.tilt = {{0.1, 0.3}};
  return s;
}

DisturbanceSettings demo() {
  DisturbanceSettings s = ordinary();
  s.operator_habits.skipped_share = 0.05;
  s.operator_habits.substituted_share = 0.04;
  s.drift.warm_up_uT = {3.0, 4.0};
  s.marks = {0.9, 0.9, 0.1, 4.0};
  s.unplanned.trains = 1;
  s.unplanned.pulses = 1;
  s.unplanned.size_uT = {0.5, 2.0};
  return s;
}

struct Preset {
  std::string_view name;
  DisturbanceSettings (*settings)();
};
constexpr std::array<Preset, 4> kPresets{
    {{"clean", clean}, {"ordinary", ordinary}, {"hard", hard}, {"demo", demo}}};

// One fault is one part of the settings: taking it out copies the part from settings that have
// none, putting it in copies it from the preset "hard".
using Settings = DisturbanceSettings;
struct Fault {
  std::string_view name;
  void (*copy)(const Settings& from, Settings& to);
};
constexpr std::array<Fault, 14> kFaults{{
    {"late", [](const Settings& from, Settings& to) { to.marks = from.marks; }},
    {"skipped",
     [](const Settings& from, Settings& to) {
       to.operator_habits.skipped_share = from.operator_habits.skipped_share;
       to.operator_habits.absent_share = from.operator_habits.absent_share;
     }},
    {"substituted",
     [](const Settings& from, Settings& to) {
       to.operator_habits.substituted_share = from.operator_habits.substituted_share;
     }},
    {"unplanned",
     [](const Settings& from, Settings& to) {
       to.unplanned.trains = from.unplanned.trains;
       to.unplanned.steps = from.unplanned.steps;
       to.unplanned.pulses = from.unplanned.pulses;
       to.unplanned.size_uT = from.unplanned.size_uT;
     }},
    {"spikes",
     [](const Settings& from, Settings& to) {
       to.unplanned.spike_share = from.unplanned.spike_share;
       to.unplanned.spike_uT = from.unplanned.spike_uT;
     }},
    {"drift", [](const Settings& from, Settings& to) { to.drift = from.drift; }},
    {"tilt", [](const Settings& from, Settings& to) { to.tilt = from.tilt; }},
    {"gaps", [](const Settings& from, Settings& to) { to.gaps = from.gaps; }},
    {"noise", [](const Settings& from, Settings& to) { to.noise = from.noise; }},
    {"quantum", [](const Settings& from, Settings& to) { to.quantum_uT = from.quantum_uT; }},
    {"vibration", [](const Settings& from, Settings& to) { to.vibration_uT = from.vibration_uT; }},
    {"heating", [](const Settings& from,
                   Settings& to) { to.effects.heating_share = from.effects.heating_share; }},
    {"lost",
     [](const Settings& from, Settings& to) { to.effects.lost_share = from.effects.lost_share; }},
    {"interaction",
     [](const Settings& from, Settings& to) {
       to.effects.all_on_extra_uT = from.effects.all_on_extra_uT;
     }},
}};

Settings faultless() {
  Settings s;
  s.noise = {};
  return s;
}

bool copy_fault(const Settings& from, Settings& to, std::string_view name) {
  for (const Fault& fault : kFaults) {
    if (fault.name != name) continue;
    fault.copy(from, to);
    return true;
  }
  return false;
}

}  // namespace

std::vector<std::string> disturbance_presets() {
  std::vector<std::string> names;
  for (const Preset& preset : kPresets) names.emplace_back(preset.name);
  return names;
}

std::optional<DisturbanceSettings> disturbance_preset(std::string_view name) {
  for (const Preset& preset : kPresets) {
    if (preset.name == name) return preset.settings();
  }
  return std::nullopt;
}

std::vector<std::string> disturbance_faults() {
  std::vector<std::string> names;
  for (const Fault& fault : kFaults) names.emplace_back(fault.name);
  return names;
}

bool without_fault(DisturbanceSettings& settings, std::string_view fault) {
  return copy_fault(faultless(), settings, fault);
}

bool with_fault(DisturbanceSettings& settings, std::string_view fault) {
  return copy_fault(hard(), settings, fault);
}

}  // namespace qn::simulate
