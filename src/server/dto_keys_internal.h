// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <functional>
#include <map>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <vector>

#include "vocab/result.h"

namespace qn::dto {

/// Puts one value of a request where it belongs; false when it does not fit.
struct Key {
  std::string expected;
  std::function<bool(const nlohmann::json&)> put;
};
using Keys = std::map<std::string, Key>;

Key text_key(std::string& into);
Key text_key(std::optional<std::string>& into);
Key number_key(std::optional<double>& into);
Key truth_key(bool& into);
Key list_key(std::vector<std::string>& into);

/// BadInput about one key of a request.
Error wrong(const std::string& key, const std::string& what, const std::string& expected);

/// A value in a few words, for messages.
std::string shown(const nlohmann::json& value);

/// Reads a body that is one JSON object with no other keys than these.
///
/// schema   its name in api.yaml, for messages
/// returns  BadInput naming the key: no JSON, an unknown key, a value of the wrong kind
std::optional<Error> put_keys(const std::string& body, const std::string& schema, const Keys& keys);

}  // namespace qn::dto
