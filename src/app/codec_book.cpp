// SPDX-License-Identifier: Apache-2.0
#include <cmath>
#include <nlohmann/json.hpp>

#include "app/show_book.h"
#include "app/version.h"

namespace qn {
namespace {

using Json = nlohmann::ordered_json;

template <class Id>
std::int64_t number_of(Id id) {
  return static_cast<std::int64_t>(id);
}

Json value_or_null(const auto& value) {
  if (!value) return nullptr;
  if constexpr (std::is_enum_v<std::decay_t<decltype(*value)>>) {
    return number_of(*value);
  } else {
    return *value;
  }
}

Json document_of(const RecordingRecord& r) {
  Json links = Json::array();
  for (const LinkRecord& link : r.head.links) {
    links.push_back(
        {{"name", link.name}, {"source", link.source}, {"sensor", value_or_null(link.sensor)}});
  }
  Json last_second = nullptr;
  if (r.complete_until_s) last_second = std::floor(*r.complete_until_s);
  return {{"id", number_of(r.id)},
          {"name", r.head.name},
          {"started_utc", r.head.started_utc},
          {"site", value_or_null(r.head.site)},
          {"links", links},
          {"bytes", r.bytes},
          {"ended_s", value_or_null(r.ended_s)},
          {"last_complete_second", last_second},
          {"note", r.head.note}};
}

Json document_of(const RunRecord& r) {
  return {{"id", number_of(r.id)},
          {"procedure", r.head.procedure},
          {"recording", value_or_null(r.head.recording)},
          {"started_utc", r.head.started_utc},
          {"ended_s", value_or_null(r.ended_s)},
          {"events", r.events}};
}

/// Texts that are JSON go in as what they say.
Json parsed(const std::string& text) {
  Json value = Json::parse(text, nullptr, false);
  return value.is_discarded() ? Json(text) : value;
}

Json document_of(const FindingRecord& r) {
  Json inputs = Json::array();
  for (const FindingInput& input : r.finding.inputs) {
    inputs.push_back({{"role", input.role}, {"file", input.name}, {"sha256", input.sha256}});
  }
  const NewFinding& f = r.finding;
  return {{"id", number_of(r.id)},
          {"made_utc", f.made_utc},
          {"command", f.command},
          {"program_version", f.program_version},
          {"recording", value_or_null(f.recording)},
          {"run", value_or_null(f.run)},
          {"verdict", f.verdict},
          {"sentence", f.sentence},
          {"options", parsed(f.options)},
          {"configuration", parsed(f.configuration)},
          {"inputs", inputs},
          {"result_sha256", r.result_sha256},
          {"sha256", r.sha256}};
}

template <class T>
Json list_of(const std::vector<T>& records) {
  Json list = Json::array();
  for (const T& record : records) list.push_back(document_of(record));
  return list;
}

}  // namespace

std::string to_json(const BookSummary& book) {
  Json equipment = Json::array();
  for (const Device& d : book.equipment) {
    equipment.push_back({{"device", d.name}, {"kind", to_word(d.kind)}, {"states", d.states}});
  }
  Json sensors = Json::array();
  for (const SensorRecord& s : book.sensors) {
    sensors.push_back({{"id", number_of(s.id)},
                       {"name", s.name},
                       {"unit", s.unit},
                       {"mounting", s.mounting},
                       {"accel_reads", s.accel_reads},
                       {"note", s.note}});
  }
  Json sites = Json::array();
  for (const SiteRecord& s : book.sites) {
    sites.push_back({{"id", number_of(s.id)},
                     {"name", s.name},
                     {"latitude_deg", value_or_null(s.latitude_deg)},
                     {"longitude_deg", value_or_null(s.longitude_deg)},
                     {"altitude_m", value_or_null(s.altitude_m)},
                     {"horizontal_uT", value_or_null(s.horizontal_uT)},
                     {"vertical_uT", value_or_null(s.vertical_uT)},
                     {"note", s.note}});
  }
  const Json document = {{"schema", "quietnorth/book/1"},
                         {"file", book.name},
                         {"aircraft", book.head.aircraft},
                         {"created_utc", book.head.created_utc},
                         {"note", book.head.note},
                         {"program_version", program_version()},
                         {"content_sha256", book.content_sha256},
                         {"equipment", equipment},
                         {"sensors", sensors},
                         {"sites", sites},
                         {"recordings", list_of(book.recordings)},
                         {"runs", list_of(book.runs)},
                         {"findings", list_of(book.findings)},
                         {"remarks", book.remarks}};
  return document.dump(2, ' ', false, Json::error_handler_t::replace);
}

std::string to_json(const BookCheck& check) {
  Json faults = Json::array();
  for (const BookFault& fault : check.faults) {
    faults.push_back({{"what", fault.what}, {"where", fault.where}});
  }
  const Json document = {{"schema", "quietnorth/book-check/1"},
                         {"file", check.name},
                         {"sound", check.faults.empty()},
                         {"faults", faults},
                         {"remarks", check.remarks}};
  return document.dump(2, ' ', false, Json::error_handler_t::replace);
}

}  // namespace qn
