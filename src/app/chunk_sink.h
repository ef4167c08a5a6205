// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "acquire/link_recording.h"
#include "acquire/transport.h"
#include "vocab/result.h"

namespace qn {

/// Keeps what links bring, as received, before anybody reads a meaning into it: a file, the
/// aircraft book. Called from one thread.
class ChunkSink {
 public:
  virtual ~ChunkSink() = default;
  /// Before the first event of the link.
  virtual Result<Done> add_link(const LinkDescription& link) = 0;
  /// In the order of arrival: `event.text` are the bytes, `event.time_s` their arrival.
  virtual Result<Done> add(const LinkEvent& event) = 0;
  /// About once a second, and at the end: everything that came until `until_s` was added, and must
  /// survive from now on whatever happens.
  virtual Result<Done> flush(double until_s) = 0;
};

}  // namespace qn
