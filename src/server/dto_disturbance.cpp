// SPDX-License-Identifier: Apache-2.0
#include "server/dto_disturbance.h"

#include <cmath>
#include <nlohmann/json.hpp>
#include <set>

#include "server/dto_keys_internal.h"

namespace qn {

using namespace dto;
using nlohmann::json;

Result<DisturbanceOrder> disturbance_order_from_json(const std::string& text) {
  DisturbanceOrder order;
  DisturbanceRequest& r = order.request;
  const Keys keys = {
      {"at", text_key(r.at)},
      {"on", text_key(r.on)},
      {"horizontal_uT", number_key(r.horizontal_uT)},
      {"vertical_uT", number_key(r.vertical_uT)},
      {"aircraft_heading_deg", number_key(r.aircraft_heading_deg)},
      {"limit_deg", number_key(r.limit_deg)},
      {"limit_basis", text_key(r.limit_basis)},
      {"rigid", truth_key(r.rigid)},
      {"mount", text_key(r.mount)},
      {"mount_deg", text_key(r.mount_deg)},
      {"accel_reads", text_key(r.accel_reads)},
      {"heading_source", text_key(r.heading_source)},
      {"aircraft", text_key(r.aircraft)},
      {"marks_csv", text_key(order.marks_csv)},
      {"marks_name", text_key(order.marks_name)},
      {"equipment_csv", text_key(order.equipment_csv)},
      {"equipment_name", text_key(order.equipment_name)},
  };
  if (auto bad = put_keys(text, "DisturbanceRequest", keys)) return *bad;
  if (order.marks_csv.empty()) {
    return wrong("marks_csv", "there are no marks",
                 "the text of a marks file (docs/formats/marks.md)");
  }
  return order;
}

Result<std::vector<MovedMark>> moved_marks_from_json(const std::string& text, std::size_t count) {
  std::vector<MovedMark> out;
  std::set<std::size_t> met;
  const Key moved{
      "a list of {index, time_s}, index from 0 to " + std::to_string(count - 1) + ", each once",
      [&](const json& list) {
        if (!list.is_array()) return false;
        for (const json& one : list) {
          if (!one.is_object() || one.size() != 2 || !one.contains("index") ||
              !one.contains("time_s") || !one["index"].is_number_unsigned() ||
              !one["time_s"].is_number()) {
            return false;
          }
          const MovedMark mark{one["index"].get<std::size_t>(), one["time_s"].get<double>()};
          if (mark.index >= count || !std::isfinite(mark.time_s)) return false;
          if (!met.insert(mark.index).second) return false;
          out.push_back(mark);
        }
        return true;
      }};
  if (auto bad = put_keys(text, "MovedMarks", {{"moved", moved}})) return *bad;
  return out;
}

Result<std::vector<std::string>> what_if_from_json(const std::string& text) {
  std::vector<std::string> on;
  if (auto bad = put_keys(text, "WhatIfRequest", {{"on", list_key(on)}})) return *bad;
  if (std::set<std::string>(on.begin(), on.end()).size() != on.size()) {
    return wrong("on", "a device is named twice", "each device once");
  }
  return on;
}

std::string marks_json(const std::vector<Mark>& given, const std::vector<Mark>& now) {
  json list = json::array();
  for (std::size_t i = 0; i < now.size() && i < given.size(); ++i) {
    list.push_back({{"index", i},
                    {"device", now[i].device},
                    {"state", now[i].state},
                    {"time_s", now[i].time_s},
                    {"given_s", given[i].time_s}});
  }
  return json{{"marks", std::move(list)}}.dump(-1, ' ', false, json::error_handler_t::replace);
}

}  // namespace qn
