// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "server/lan_options.h"

namespace qn {

/// How a device comes in, for the host's terminal: address, code, QR code, fingerprint.
///
/// coloured  the QR code gets its own bright letters and dark ground; without, it is right on a
///           terminal that is dark already
enum class Coloured { no, yes };
std::string lan_text(const Invitation& invitation, Coloured coloured);

}  // namespace qn
