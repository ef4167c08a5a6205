// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <cstdint>

#include "server/rate_limit.h"

namespace qn {

/// What the network may take up of this machine. The host's own connections are apart from it.
struct NetworkLimits {
  std::size_t connections = 64;
  std::size_t strangers = 24;    ///< connections that have shown no pairing; the oldest makes room
  std::size_t per_address = 16;  ///< a browser opens six, and each stream is one
  RateLimit::Rate opened = {10.0, 40.0};  ///< new connections from one address
  RateLimit::Rate paired = {20.0,
                            80.0};  ///< requests from one address; what a stream tells is free
  RateLimit::Rate unpaired = {2.0, 20.0};  ///< the same before it is paired
  std::uint64_t recording_bytes = 100'000'000;
  std::uint64_t text_bytes = 4'000'000;  ///< a request with a stations file in it
  std::uint64_t run_bytes = 64'000;      ///< what is sent during a run
  std::uint64_t stranger_bytes = 1'000;  ///< a code and a name
};

}  // namespace qn
