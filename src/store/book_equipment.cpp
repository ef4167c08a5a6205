// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include "store/book.h"
#include "store/sqlite_internal.h"

namespace qn {
namespace {

// Lists stand in one cell, as in the equipment file: names with '|' between two.
std::string joined(const std::vector<std::string>& parts) {
  std::string text;
  for (const std::string& part : parts) text += (text.empty() ? "" : "|") + part;
  return text;
}

std::vector<std::string> parted(const std::string& text) {
  std::vector<std::string> parts;
  if (text.empty()) return parts;
  for (std::size_t at = 0;;) {
    const std::size_t bar = text.find('|', at);
    parts.push_back(text.substr(at, bar - at));
    if (bar == std::string::npos) return parts;
    at = bar + 1;
  }
}

Result<Device> device_of(const Statement& row, const std::string& book) {
  Device device;
  device.name = row.text(0);
  const auto kind = device_kind_from(row.text(1));
  if (!kind) {
    return Error{ErrorKind::Corrupt, fmt::format("'{}' is no kind of device", row.text(1)),
                 fmt::format("{}, device '{}'", book, device.name),
                 "steady, pulsing, motor, moving or engine",
                 "put the equipment list into the book again (quietnorth book equipment --set)"};
  }
  device.kind = *kind;
  device.current_A = row.optional_real(2);
  device.states = parted(row.text(3));
  device.max_on_s = row.optional_real(4);
  device.min_rest_s = row.optional_real(5);
  device.transit_s = row.real(6);
  device.phases = parted(row.text(7));
  device.with = row.text(8);
  device.caution = row.text(9);
  device.optional = row.integer(10) != 0;
  device.note = row.text(11);
  return device;
}

constexpr const char* kPutSensor =
    "INSERT INTO sensor (name, unit, mounting, accel_reads, note) VALUES (?, ?, ?, ?, ?) "
    "ON CONFLICT (name) DO UPDATE SET name = excluded.name, unit = excluded.unit, "
    "mounting = excluded.mounting, accel_reads = excluded.accel_reads, note = excluded.note "
    "RETURNING id";
constexpr const char* kPutSite =
    "INSERT INTO site (name, latitude_deg, longitude_deg, altitude_m, horizontal_uT, vertical_uT, "
    "note) VALUES (?, ?, ?, ?, ?, ?, ?) ON CONFLICT (name) DO UPDATE SET name = excluded.name, "
    "latitude_deg = excluded.latitude_deg, longitude_deg = excluded.longitude_deg, "
    "altitude_m = excluded.altitude_m, horizontal_uT = excluded.horizontal_uT, "
    "vertical_uT = excluded.vertical_uT, note = excluded.note RETURNING id";

}  // namespace

Result<std::vector<Device>> Book::equipment() const {
  return all_rows<Device>(
      database().query(
          "SELECT name, kind, current_A, states, max_on_s, min_rest_s, transit_s, phases, needs, "
          "caution, optional, note FROM device ORDER BY position"),
      [this](const Statement& row) { return device_of(row, path()); });
}

Result<Done> Book::set_equipment(const std::vector<Device>& equipment) {
  auto whole = Transaction::begin(database());
  if (!whole) return whole.error();
  if (auto done = database().run("DELETE FROM device"); !done) return done;
  std::int64_t position = 0;
  for (const Device& d : equipment) {
    const auto done = database().change(
        "INSERT INTO device VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)", position++, d.name,
        to_word(d.kind), d.current_A, joined(d.states), d.max_on_s, d.min_rest_s, d.transit_s,
        joined(d.phases), d.with, d.caution, static_cast<int>(d.optional), d.note);
    if (!done) return done;
  }
  return whole.value().commit();
}

Result<SensorId> Book::put_sensor(const SensorRecord& sensor) {
  return inserted_id<SensorId>(database().query(kPutSensor, sensor.name, sensor.unit,
                                                sensor.mounting, sensor.accel_reads, sensor.note));
}

Result<std::vector<SensorRecord>> Book::sensors() const {
  return all_rows<SensorRecord>(
      database().query(
          "SELECT id, name, unit, mounting, accel_reads, note FROM sensor ORDER BY id"),
      [](const Statement& row) {
        return SensorRecord{SensorId{row.integer(0)},
                            row.text(1),
                            row.text(2),
                            row.text(3),
                            row.text(4),
                            row.text(5)};
      });
}

Result<SiteId> Book::put_site(const SiteRecord& site) {
  return inserted_id<SiteId>(database().query(kPutSite, site.name, site.latitude_deg,
                                              site.longitude_deg, site.altitude_m,
                                              site.horizontal_uT, site.vertical_uT, site.note));
}

Result<std::vector<SiteRecord>> Book::sites() const {
  return all_rows<SiteRecord>(
      database().query("SELECT id, name, latitude_deg, longitude_deg, altitude_m, horizontal_uT, "
                       "vertical_uT, note FROM site ORDER BY id"),
      [](const Statement& row) {
        return SiteRecord{SiteId{row.integer(0)}, row.text(1),          row.optional_real(2),
                          row.optional_real(3),   row.optional_real(4), row.optional_real(5),
                          row.optional_real(6),   row.text(7)};
      });
}

}  // namespace qn
