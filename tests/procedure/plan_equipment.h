// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "vocab/equipment.h"

namespace qn::test {

/// A device of an invented aircraft.
inline Device device(const std::string& name, DeviceKind kind = DeviceKind::steady) {
  Device d;
  d.name = name;
  d.kind = kind;
  return d;
}

/// An invented aircraft with one of everything that makes a plan difficult.
inline std::vector<Device> difficult_equipment() {
  std::vector<Device> list = {device("Position lights"),
                              device("Strobe", DeviceKind::pulsing),
                              device("Landing light"),
                              device("Pitot heat"),
                              device("Avionics master"),
                              device("Radio"),
                              device("Transponder"),
                              device("Fuel pump", DeviceKind::motor),
                              device("Trim", DeviceKind::motor),
                              device("Flaps", DeviceKind::moving),
                              device("Gear", DeviceKind::moving),
                              device("Starter", DeviceKind::engine),
                              device("Engine", DeviceKind::engine)};
  const std::vector<double> amperes = {4, 5, 7, 8, 1, 2, 1.5, 3, 2, 12, 30, 150, 0};
  for (std::size_t i = 0; i < list.size(); ++i) list[i].current_A = amperes[i];
  list[0].phases = {"night"};
  list[2].phases = {"Night", "landing"};
  list[3].phases = {"cruise"};
  list[2].optional = true;
  list[5].with = "Avionics master";
  list[6].with = "Avionics master";
  list[5].phases = {"cruise", "night"};
  list[8].states = {"neutral", "left", "right"};
  list[8].max_on_s = 10;
  list[8].caution = "People clear of surfaces";
  list[9].states = {"up", "half", "full"};
  list[9].transit_s = 6;
  list[9].caution = "People clear of surfaces";
  list[10].states = {"down", "up"};
  list[10].transit_s = 8;
  list[10].min_rest_s = 120;
  list[10].caution = "On jacks, supports under the wings";
  list[10].phases = {"cruise"};
  list[11].max_on_s = 8;
  list[11].min_rest_s = 60;
  return list;
}

}  // namespace qn::test
