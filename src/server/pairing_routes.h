// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "server/http_server_internal.h"
#include "server/network_side.h"

namespace qn {

/// Answers /api/pairing (the host's own page), /api/pair (a device with a code) and
/// /api/certificate before the other addresses.
///
/// side  null: this server is not open to the network, and says so
HttpHandlers with_pairing_routes(HttpHandlers inner, NetworkSide* side);

}  // namespace qn
