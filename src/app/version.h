// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string_view>

namespace qn {

/// "0.1.0": the version in CMake's project(), the one place where it lives.
std::string_view program_version();

}  // namespace qn
