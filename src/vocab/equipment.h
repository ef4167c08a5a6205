// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace qn {

/// How a device disturbs: what the analysis may expect of it, and what the plan must respect.
enum class DeviceKind {
  steady,   ///< a current that is there or not: lights, heaters, radios
  pulsing,  ///< comes and goes by itself while on: strobes, some pumps, relays
  motor,    ///< current while it runs: trim, flap, fuel pump
  moving,   ///< steel that ends in another place: gear, flaps, doors
  engine,   ///< the engine and what it drives
};
std::string_view to_word(DeviceKind kind);
std::optional<DeviceKind> device_kind_from(std::string_view word);

/// One line of the equipment list (docs/formats/equipment.md).
struct Device {
  std::string name;
  DeviceKind kind = DeviceKind::steady;
  std::optional<double> current_A;                  ///< in its working state
  std::vector<std::string> states = {"off", "on"};  ///< at least two; the first is the reference
  std::optional<double> max_on_s;                   ///< longest time away from the reference
  std::optional<double> min_rest_s;                 ///< rest it needs before it is worked again
  double transit_s = 0.0;           ///< time to get from one state to another, e.g. gear
  std::vector<std::string> phases;  ///< of flight in which it is normally worked
  std::string with;                 ///< another device that must be on; empty: none
  std::string caution;              ///< said before it is worked; equal texts are one group
  bool optional = false;            ///< the aircraft may not have it, or it may stay off
  std::string note;
  std::size_t line = 0;  ///< in the file, for messages; 0: not from a file
};

/// The reference state has number 0, the second 1, the third -1; further states have none.
std::optional<int> state_number(std::size_t index);

}  // namespace qn
