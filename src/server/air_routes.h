// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>

#include "server/http_server_internal.h"

namespace qn {

/// As much of a flight as the reader takes.
inline constexpr std::uint64_t kFlightLimit = 64ULL << 20;

/// /api/air and its sheets.
bool is_in_the_air(const HttpRequest& request);

/// The check in the air, with the flight in the body: the document, byte for byte what `air solve
/// --json` prints, or its sheet. The file of the body is gone when it returns. Some milliseconds,
/// more for a long log: not for the server's thread.
HttpResponse check_in_the_air(const HttpRequest& request);

}  // namespace qn
