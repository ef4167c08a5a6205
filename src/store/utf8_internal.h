// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string_view>

namespace qn {

/// Well-formed UTF-8 (RFC 3629: no overlong forms, no surrogates, none beyond U+10FFFF) without a
/// zero byte.
bool is_utf8_text(std::string_view text);

}  // namespace qn
