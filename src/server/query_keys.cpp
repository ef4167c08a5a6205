// SPDX-License-Identifier: Apache-2.0
#include <charconv>
#include <cmath>

#include "server/query_keys_internal.h"

namespace qn::dto {

Key query_number(std::optional<double>& into) {
  return {"a number", [&into](const nlohmann::json& value) {
            const auto& text = value.get_ref<const std::string&>();
            const char* const end = text.data() + text.size();
            double number = 0.0;
            const auto [last, failed] = std::from_chars(text.data(), end, number);
            if (failed != std::errc{} || last != end || !std::isfinite(number)) return false;
            into = number;
            return true;
          }};
}

Key query_truth(bool& into) {
  return {"1 or 0", [&into](const nlohmann::json& value) {
            into = value == "1";
            return value == "1" || value == "0";
          }};
}

Key repeated_key(std::vector<std::string>& into) {
  return {"a text", [&into](const nlohmann::json& value) {
            into.push_back(value.get<std::string>());
            return true;
          }};
}

Key paper_key(std::string& into) {
  return {"a4 or letter", [&into](const nlohmann::json& value) {
            into = value.get<std::string>();
            return into == "a4" || into == "letter";
          }};
}

std::optional<Error> put_query(const HttpRequest& request, const std::string& address,
                               const Keys& keys, const std::set<std::string>& repeats) {
  std::set<std::string> met;
  for (const auto& [name, value] : request.query) {
    const auto key = keys.find(name);
    if (key == keys.end()) {
      return wrong(name, "a key of this name is not known",
                   "the keys of " + address + " in api.yaml");
    }
    if (!met.insert(name).second && repeats.count(name) == 0) {
      return wrong(name, "it is there twice", "each key once");
    }
    if (!key->second.put(value)) {
      return wrong(name, "found " + shown(value), key->second.expected);
    }
  }
  return std::nullopt;
}

}  // namespace qn::dto
