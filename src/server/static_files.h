// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>

#include "server/http_server_internal.h"

namespace qn {

/// The page itself, built into the program: "/" and what it loads.
std::optional<HttpResponse> static_file(const std::string& path);

}  // namespace qn
