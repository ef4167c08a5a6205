// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <memory>
#include <string>

#include "acquire/transport.h"

namespace qn {

/// A serial port or a pseudo-terminal. When it goes away (unplugged, other side closed) it is tried
/// again four times a second under the same path: a name in /dev/serial/by-id is the same device
/// wherever it is plugged in. Read only; taken for this program alone.
///
/// path   "/dev/ttyUSB0", "/dev/serial/by-id/..."
/// baud   any from 50 to 4 000 000
/// open() errors  Io: no such port, no permission (names the group to join), no serial port at all,
///                held by another program, a speed that the port refuses
std::unique_ptr<Transport> serial_transport(std::string path, unsigned baud);

/// The error for a port that may not be read: names the group that may, and how to join it.
Error port_forbidden(const std::string& path, const std::string& group);

}  // namespace qn
