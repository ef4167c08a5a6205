// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "server/http_server_internal.h"

namespace qn {

/// All that a stranger on the network ever sees: one field for the code. It holds nothing of the
/// program or the aircraft, and loads nothing; its script and style are named in the policy by
/// hash.
HttpResponse pairing_page();

}  // namespace qn
