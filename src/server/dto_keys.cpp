// SPDX-License-Identifier: Apache-2.0
#include "server/dto_keys_internal.h"

namespace qn::dto {
namespace {

using nlohmann::json;

template <class Into>
Key text(Into& into) {
  return {"a text", [&into](const json& value) {
            if (value.is_string()) into = value.get<std::string>();
            return value.is_string();
          }};
}

}  // namespace

Error wrong(const std::string& key, const std::string& what, const std::string& expected) {
  return Error{ErrorKind::BadInput, what, "request, key '" + key + "'", expected,
               "correct it and send the request again"};
}

std::string shown(const json& value) {
  const std::string text = value.dump(-1, ' ', false, json::error_handler_t::replace);
  return text.size() <= 60 ? text : text.substr(0, 57) + "...";
}

Key text_key(std::string& into) { return text(into); }
Key text_key(std::optional<std::string>& into) { return text(into); }

Key number_key(std::optional<double>& into) {
  return {"a number", [&into](const json& value) {
            if (value.is_number()) into = value.get<double>();
            return value.is_number();
          }};
}

Key truth_key(bool& into) {
  return {"true or false", [&into](const json& value) {
            if (value.is_boolean()) into = value.get<bool>();
            return value.is_boolean();
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

std::optional<Error> put_keys(const std::string& body, const std::string& schema,
                              const Keys& keys) {
  const json sent = json::parse(body, nullptr, false);
  if (!sent.is_object()) {
    return wrong("(whole body)", "the body is not a JSON object",
                 "one JSON object as " + schema + " in api.yaml describes it");
  }
  for (const auto& [name, value] : sent.items()) {
    const auto key = keys.find(name);
    if (key == keys.end()) {
      return wrong(name, "a key of this name is not known",
                   "the keys of " + schema + " in api.yaml");
    }
    if (!key->second.put(value)) {
      return wrong(name, "found " + shown(value), key->second.expected);
    }
  }
  return std::nullopt;
}

}  // namespace qn::dto
