// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <memory>
#include <string>

#include "acquire/transport.h"

namespace qn {

/// Datagrams sent to this port. Says when a second sender appears: two sensors would be mixed.
///
/// host   the address to listen on: "127.0.0.1" for this computer only, "0.0.0.0" for the network
/// open() errors  Io: the port is taken, or the address is none of this computer
std::unique_ptr<Transport> udp_transport(std::string name, std::string host, std::uint16_t port);

/// A stream from a server. When it ends it is tried again every second.
///
/// open() errors  Io: the host's name is not known. A refused connection is tried again, and said
std::unique_ptr<Transport> tcp_transport(std::string name, std::string host, std::uint16_t port);

}  // namespace qn
