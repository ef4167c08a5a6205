// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

namespace qn {

/// What a visitor may do. The host itself, on 127.0.0.1, operates.
enum class Role { operate, look_on };

/// As api.yaml says it.
inline std::string to_word(Role role) { return role == Role::operate ? "operate" : "look_on"; }

}  // namespace qn
