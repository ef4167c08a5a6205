// SPDX-License-Identifier: Apache-2.0
#include "server/dto_fit.h"

#include <functional>
#include <map>
#include <nlohmann/json.hpp>

#include "server/fit_board.h"

namespace qn {
namespace {

using nlohmann::json;

Error wrong(const std::string& key, const std::string& what, const std::string& expected) {
  return Error{ErrorKind::BadInput, what, "request, key '" + key + "'", expected,
               "correct it and send the request again"};
}

std::string shown(const json& value) {
  const std::string text = value.dump(-1, ' ', false, json::error_handler_t::replace);
  return text.size() <= 60 ? text : text.substr(0, 57) + "...";
}

/// Puts one value of the request where it belongs; says what it expected when it does not fit.
using Put = std::function<bool(const json&)>;
struct Key {
  std::string expected;
  Put put;
};

template <class Into>
Key text_key(Into& into) {
  return {"a text", [&into](const json& value) {
            if (value.is_string()) into = value.get<std::string>();
            return value.is_string();
          }};
}

Key number_key(std::optional<double>& into) {
  return {"a number", [&into](const json& value) {
            if (value.is_number()) into = value.get<double>();
            return value.is_number();
          }};
}

Key list_key(std::vector<std::string>& into) {
  return {"a list of texts", [&into](const json& value) {
            if (!value.is_array()) return false;
            for (const json& one : value) {
              if (!one.is_string()) return false;
              into.push_back(one.get<std::string>());
            }
            return true;
          }};
}

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
  const json sent = json::parse(text, nullptr, false);
  if (!sent.is_object()) {
    return wrong("(whole body)", "the body is not a JSON object",
                 "one JSON object as FitRequest in api.yaml describes it");
  }
  FitOrder order;
  FitRequest& r = order.request;
  const std::map<std::string, Key> keys = {
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
  for (const auto& [name, value] : sent.items()) {
    const auto key = keys.find(name);
    if (key == keys.end()) {
      return wrong(name, "a key of this name is not known", "the keys of FitRequest in api.yaml");
    }
    if (!key->second.put(value)) {
      return wrong(name, "found " + shown(value), key->second.expected);
    }
  }
  return order;
}

std::string news_json(const FitNews& news) {
  json out = {{"state", to_word(news.state)}, {"doing", news.doing}, {"fraction", news.fraction}};
  if (news.error) out["error"] = as_json(*news.error);
  return dump(out);
}

std::string error_json(const Error& error) { return dump(as_json(error)); }

}  // namespace qn
