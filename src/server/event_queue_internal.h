// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <deque>
#include <string>

#include "server/http_server_internal.h"

namespace qn {

/// What waits for one reader of a stream. However slow the reader is, it stays small.
class EventQueue {
 public:
  // A reader that is this far behind with what may not be left out is not coming back: two minutes
  // of a trace are 40 KB, and a view is 5 KB.
  static constexpr std::size_t kMostWaiting = 64;
  static constexpr std::size_t kMostBytes = 1'000'000;

  /// returns  false when there is no room: the reader is lost. After the last event: true, unheard
  bool push(const StreamEvent& event);

  /// All that waits, as it goes over the wire; empty when nothing does.
  std::string take();

  bool ended() const { return ended_; }  ///< the last event is in, taken or not

 private:
  struct Waiting {
    std::string name, text;
    bool keep = false;
  };
  std::deque<Waiting> waiting_;
  std::size_t bytes_ = 0;
  bool ended_ = false;
};

}  // namespace qn
