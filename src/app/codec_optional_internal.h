// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <nlohmann/json.hpp>
#include <optional>

namespace qn {

/// What is not known has no key.
template <class T>
void put(nlohmann::ordered_json& object, const char* key, const std::optional<T>& value) {
  if (value) object[key] = *value;
}

template <class T>
void take(const nlohmann::ordered_json& object, const char* key, std::optional<T>& value) {
  if (const auto found = object.find(key); found != object.end()) value = found->get<T>();
}

}  // namespace qn
