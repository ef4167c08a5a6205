// SPDX-License-Identifier: Apache-2.0
#include "server/dto_fit.h"

#include <nlohmann/json.hpp>

#include "server/dto_keys_internal.h"
#include "server/work_board.h"

namespace qn {
namespace {

using nlohmann::json;
using namespace dto;

json as_json(const Error& error) {
  return {{"what", error.what},
          {"where", error.where},
          {"expected", error.expected},
          {"remedy", error.remedy}};
}

// Texts come from files and may hold any bytes; what is no UTF-8 is shown as a replacement sign.
std::string dump(const json& value) {
  return value.dump(-1, ' ', false, json::error_handler_t::replace);
}

}  // namespace

Result<FitOrder> fit_order_from_json(const std::string& text) {
  FitOrder order;
  FitRequest& r = order.request;
  const Keys keys = {
      {"at", text_key(r.at)},
      {"on", text_key(r.on)},
      {"horizontal_uT", number_key(r.horizontal_uT)},
      {"vertical_uT", number_key(r.vertical_uT)},
      {"motion", text_key(r.motion)},
      {"mount", text_key(r.mount)},
      {"mount_deg", text_key(r.mount_deg)},
      {"slope_deg", text_key(r.slope_deg)},
      {"deck_deg", text_key(r.deck_deg)},
      {"accel_reads", text_key(r.accel_reads)},
      {"known_headings", list_key(r.known_headings)},
      {"station_sigma_deg", number_key(r.station_sigma_deg)},
      {"north_sigma_deg", number_key(r.north_sigma_deg)},
      {"limit_deg", number_key(r.limit_deg)},
      {"limit_basis", text_key(r.limit_basis)},
      {"aircraft", text_key(r.aircraft)},
      {"stations_csv", text_key(order.stations_csv)},
      {"stations_name", text_key(order.stations_name)},
  };
  if (auto bad = put_keys(text, "FitRequest", keys)) return *bad;
  return order;
}

std::string news_json(const WorkNews& news) {
  json out = {{"state", to_word(news.state)}, {"doing", news.doing}, {"fraction", news.fraction}};
  if (news.error) out["error"] = as_json(*news.error);
  return dump(out);
}

std::string error_json(const Error& error) { return dump(as_json(error)); }

}  // namespace qn
