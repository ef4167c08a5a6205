// SPDX-License-Identifier: Apache-2.0
#include "server/pairing_file.h"

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>

#include "server/private_file.h"

namespace qn {

std::vector<KeptPairing> read_pairings(const std::string& path, std::int64_t now_unix_s) {
  const auto text = read_private_file(path);
  if (!text) return {};
  const auto json = nlohmann::json::parse(*text, nullptr, false);
  std::vector<KeptPairing> out;
  try {
    for (const auto& one : json.at("paired")) {
      KeptPairing kept;
      kept.id = one.at("id").get<std::string>();
      kept.name = one.at("name").get<std::string>();
      kept.role = one.at("role").get<std::string>() == "operate" ? Role::operate : Role::look_on;
      kept.since_utc = one.at("since_utc").get<std::string>();
      kept.token_sha256 = one.at("token_sha256").get<std::string>();
      const auto since = one.at("since_unix_s").get<std::int64_t>();
      // A clock that was set back gives nobody more than the usual time.
      kept.age_s = static_cast<double>(std::max<std::int64_t>(0, now_unix_s - since));
      out.push_back(std::move(kept));
    }
  } catch (const nlohmann::json::exception&) {
    return {};
  }
  return out;
}

std::optional<std::string> write_pairings(const std::string& path,
                                          const std::vector<KeptPairing>& pairings,
                                          std::int64_t now_unix_s) {
  auto paired = nlohmann::json::array();
  for (const KeptPairing& kept : pairings) {
    paired.push_back({{"id", kept.id},
                      {"name", kept.name},
                      {"role", to_word(kept.role)},
                      {"since_utc", kept.since_utc},
                      {"token_sha256", kept.token_sha256},
                      {"since_unix_s", now_unix_s - std::llround(kept.age_s)}});
  }
  const nlohmann::json all{{"schema", "quietnorth/pairings/1"}, {"paired", paired}};
  return write_private_file(path,
                            all.dump(1, ' ', false, nlohmann::json::error_handler_t::replace));
}

}  // namespace qn
