// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "simulate/sensor_recording_maker.h"

namespace qn::simulate {

/// A little story with a known truth: an invented aircraft in an invented builder's hangar. The
/// place is real only as numbers.
struct Scenario {
  std::string name;   ///< as asked for
  std::string title;  ///< what happens, one sentence
  std::string aircraft;
  std::string hangar;
  double latitude_deg = 0.0;
  double longitude_deg = 0.0;
  std::string date_iso;
  RecordingPlan plan;  ///< complete but for the Earth's field: see with_field
};

/// All names, the demo first.
std::vector<std::string> scenario_names();
/// None when there is no scenario of that name. The seed changes noise, placement and path.
std::optional<Scenario> scenario_named(std::string_view name, std::uint64_t seed);

/// The plan with a true field drawn around what the model says for the scenario's place and day.
RecordingPlan with_field(const Scenario& scenario, const LocalField& model);

}  // namespace qn::simulate
