// SPDX-License-Identifier: Apache-2.0
#include "server/dto_pairing.h"

#include <nlohmann/json.hpp>

#include "server/dto_keys_internal.h"

namespace qn {

std::string pairing_json(const Invitation& invitation, const std::vector<PairedVisitor>& visitors,
                         double now_s) {
  using nlohmann::json;
  json paired = json::array();
  for (const PairedVisitor& one : visitors) {
    paired.push_back({{"id", one.id},
                      {"name", one.name},
                      {"role", to_word(one.role)},
                      {"since_utc", one.since_utc},
                      {"seen_s", now_s - one.seen_s}});
  }
  return json{{"url", invitation.urls.empty() ? std::string{} : invitation.urls.front()},
              {"code", invitation.code},
              {"expires_s", invitation.expires_s},
              {"qr_svg", invitation.qr_svg},
              {"fingerprint", invitation.fingerprint},
              {"paired", paired}}
      .dump();
}

Result<Role> role_from_json(const std::string& text) {
  std::string word;
  if (auto error = dto::put_keys(text, "PairingRequest", {{"role", dto::text_key(word)}})) {
    return *error;
  }
  if (word == "operate") return Role::operate;
  if (word == "look_on") return Role::look_on;
  return dto::wrong("role", "found '" + word.substr(0, 40) + "'", "operate or look_on");
}

Result<PairOrder> pair_order_from_json(const std::string& text) {
  PairOrder order;
  const dto::Keys keys = {{"code", dto::text_key(order.code)}, {"name", dto::text_key(order.name)}};
  if (auto error = dto::put_keys(text, "PairOrder", keys)) return *error;
  return order;
}

}  // namespace qn
