// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <numbers>

#include "acquire/column_units_internal.h"

namespace qn {
namespace {

using Q = LogQuantity;

enum class Kind { time, field, angle, accel, current, temperature };

Kind kind_of(Q quantity) {
  switch (quantity) {
    case Q::time: return Kind::time;
    case Q::field_x:
    case Q::field_y:
    case Q::field_z: return Kind::field;
    case Q::roll:
    case Q::pitch:
    case Q::heading: return Kind::angle;
    case Q::accel_x:
    case Q::accel_y:
    case Q::accel_z: return Kind::accel;
    case Q::current: return Kind::current;
    case Q::temperature: return Kind::temperature;
  }
  return Kind::time;
}

struct Unit {
  Kind kind;
  std::string_view name;  ///< normal form
  UnitScale scale;
  bool counts = false;
};

constexpr double kStandardGravity = 9.80665;  // m/s², exact by definition (CGPM 1901)
constexpr double kDegPerRad = 180.0 / std::numbers::pi;

const std::vector<Unit>& units() {
  static const std::vector<Unit> all = {
      {Kind::time, "s", {}},
      {Kind::time, "sec", {}},
      {Kind::time, "seconds", {}},
      {Kind::time, "ms", {1.0, 1e3, 0.0}},
      {Kind::time, "us", {1.0, 1e6, 0.0}},
      {Kind::time, "ns", {1.0, 1e9, 0.0}},
      {Kind::time, "min", {60.0, 1.0, 0.0}},
      {Kind::field, "ut", {}},
      {Kind::field, "nt", {1.0, 1e3, 0.0}},
      {Kind::field, "mt", {1e3, 1.0, 0.0}},
      {Kind::field, "t", {1e6, 1.0, 0.0}},
      {Kind::field, "g", {100.0, 1.0, 0.0}},  // 1 gauss = 1e-4 T
      {Kind::field, "gs", {100.0, 1.0, 0.0}},
      {Kind::field, "gauss", {100.0, 1.0, 0.0}},
      {Kind::field, "mg", {1.0, 10.0, 0.0}},
      {Kind::field, "mgauss", {1.0, 10.0, 0.0}},
      {Kind::field, "raw", {}, true},
      {Kind::field, "counts", {}, true},
      {Kind::field, "lsb", {}, true},
      {Kind::angle, "deg", {}},
      {Kind::angle, "degrees", {}},
      {Kind::angle, "rad", {kDegPerRad, 1.0, 0.0}},
      {Kind::accel, "g", {}},
      {Kind::accel, "mg", {1.0, 1e3, 0.0}},
      {Kind::accel, "m_s2", {1.0, kStandardGravity, 0.0}},
      {Kind::accel, "m_s_2", {1.0, kStandardGravity, 0.0}},  // m/s^2
      {Kind::accel, "mps2", {1.0, kStandardGravity, 0.0}},
      {Kind::accel, "ms2", {1.0, kStandardGravity, 0.0}},
      {Kind::current, "a", {}},
      {Kind::current, "ma", {1.0, 1e3, 0.0}},
      {Kind::temperature, "c", {}},
      {Kind::temperature, "degc", {}},
      {Kind::temperature, "deg_c", {}},
      {Kind::temperature, "k", {1.0, 1.0, -273.15}},
      {Kind::temperature, "f", {5.0, 9.0, -160.0 / 9.0}},
  };
  return all;
}

}  // namespace

const std::vector<ColumnAlias>& column_aliases() {
  static const std::vector<ColumnAlias> all = {
      {"time", Q::time},
      {"t", Q::time},
      {"timestamp", Q::time},
      {"elapsed", Q::time},
      {"elapsed_time", Q::time},
      {"seconds_elapsed", Q::time},
      {"field_x", Q::field_x},
      {"field_y", Q::field_y},
      {"field_z", Q::field_z},
      {"magnetic_field_x", Q::field_x},
      {"magnetic_field_y", Q::field_y},
      {"magnetic_field_z", Q::field_z},
      {"mag_x", Q::field_x},
      {"mag_y", Q::field_y},
      {"mag_z", Q::field_z},
      {"magnetometer_x", Q::field_x},
      {"magnetometer_y", Q::field_y},
      {"magnetometer_z", Q::field_z},
      {"b_x", Q::field_x},
      {"b_y", Q::field_y},
      {"b_z", Q::field_z},
      {"bx", Q::field_x},
      {"by", Q::field_y},
      {"bz", Q::field_z},
      {"mx", Q::field_x},
      {"my", Q::field_y},
      {"mz", Q::field_z},
      {"roll", Q::roll},
      {"pitch", Q::pitch},
      {"accel_x", Q::accel_x},
      {"accel_y", Q::accel_y},
      {"accel_z", Q::accel_z},
      {"acceleration_x", Q::accel_x},
      {"acceleration_y", Q::accel_y},
      {"acceleration_z", Q::accel_z},
      {"acc_x", Q::accel_x},
      {"acc_y", Q::accel_y},
      {"acc_z", Q::accel_z},
      {"heading", Q::heading},
      {"current", Q::current},
      {"temperature", Q::temperature},
      {"temp", Q::temperature},
  };
  return all;
}

std::optional<LogColumn> column_of_unit(LogQuantity quantity, std::string_view unit) {
  for (const Unit& known : units()) {
    if (known.kind == kind_of(quantity) && known.name == unit) {
      return LogColumn{.column = 0, .scale = known.scale, .counts = known.counts};
    }
  }
  return std::nullopt;
}

std::string_view known_units(LogQuantity quantity) {
  switch (kind_of(quantity)) {
    case Kind::time: return "s, ms, us, ns, min";
    case Kind::field: return "uT, nT, mT, T, mG, G, raw";
    case Kind::angle: return "deg, rad";
    case Kind::accel: return "g, mg, m/s2";
    case Kind::current: return "A, mA";
    case Kind::temperature: return "C, K, F";
  }
  return "";
}

std::string_view canonical_name(LogQuantity quantity) {
  constexpr std::array<std::string_view, kLogQuantities> kNames = {
      "time_s",    "field_x_uT", "field_y_uT", "field_z_uT",  "roll_deg",  "pitch_deg",
      "accel_x_g", "accel_y_g",  "accel_z_g",  "heading_deg", "current_A", "temperature_C"};
  return kNames[static_cast<std::size_t>(quantity)];
}

bool is_required(LogQuantity quantity) {
  return kind_of(quantity) == Kind::time || kind_of(quantity) == Kind::field;
}

bool is_unit_word(std::string_view word) {
  // Speeds are in no sensor log, but in the legs and logs of a flight.
  for (const std::string_view speed : {"kt", "kts", "knots", "kmh", "mps"}) {
    if (word == speed) return true;
  }
  return std::any_of(units().begin(), units().end(),
                     [&](const Unit& unit) { return unit.name == word; });
}

double largest_value(LogQuantity quantity, bool counts) {
  switch (kind_of(quantity)) {
    case Kind::time: return 1e11;                  // three thousand years of seconds
    case Kind::field: return counts ? 1e10 : 1e9;  // a 32-bit sensor; a kilotesla
    case Kind::angle: return 720.0;
    case Kind::accel: return 1e4;
    case Kind::current: return 1e6;
    case Kind::temperature: return 1e4;
  }
  return 0.0;
}

}  // namespace qn
