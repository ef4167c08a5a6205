// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "server/pairing.h"
#include "server/serve.h"
#include "vocab/result.h"

namespace qn {

/// What the host's page shows of the network (api.yaml, Pairing).
std::string pairing_json(const Invitation& invitation, const std::vector<PairedVisitor>& visitors,
                         double now_s);

/// What the next code is for (api.yaml, PairingRequest).
/// errors  BadInput naming the key
Result<Role> role_from_json(const std::string& text);

/// What a device sends to be let in (api.yaml, PairOrder).
struct PairOrder {
  std::string code, name;
};
/// errors  BadInput; nobody is told
Result<PairOrder> pair_order_from_json(const std::string& text);

}  // namespace qn
