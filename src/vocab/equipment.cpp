// SPDX-License-Identifier: Apache-2.0
#include "vocab/equipment.h"

#include <array>
#include <utility>

namespace qn {
namespace {

constexpr std::array<std::pair<DeviceKind, std::string_view>, 5> kWords{
    {{DeviceKind::steady, "steady"},
     {DeviceKind::pulsing, "pulsing"},
     {DeviceKind::motor, "motor"},
     {DeviceKind::moving, "moving"},
     {DeviceKind::engine, "engine"}}};

}  // namespace

std::string_view to_word(DeviceKind kind) {
  for (const auto& [known, word] : kWords) {
    if (known == kind) return word;
  }
  return "steady";
}

std::optional<DeviceKind> device_kind_from(std::string_view word) {
  for (const auto& [kind, known] : kWords) {
    if (known == word) return kind;
  }
  return std::nullopt;
}

std::optional<int> state_number(std::size_t index) {
  switch (index) {
    case 0: return 0;
    case 1: return 1;
    case 2: return -1;
    default: return std::nullopt;
  }
}

}  // namespace qn
