// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <boost/asio/steady_timer.hpp>
#include <functional>
#include <memory>
#include <string>

#include "server/event_queue_internal.h"
#include "server/http_session_internal.h"
#include "server/wire_internal.h"

namespace qn {

/// The rest of a connection that has become a stream of events: told from any thread, written on
/// the server's. A reader that takes nothing for the write deadline is dropped.
class EventStream {
 public:
  /// owner  has this stream and the wire; whatever the stream waits for keeps it alive
  EventStream(Wire& wire, const HttpHome& home, std::weak_ptr<void> owner);
  ~EventStream();
  EventStream(const EventStream&) = delete;
  EventStream& operator=(const EventStream&) = delete;

  void start(const HttpResponse& what);
  void end();  ///< with the event `end`, as far as the reader takes it now

 private:
  void watch_for_end();
  void beat();
  void push(const StreamEvent& event);
  void send_next();
  void write(std::string text);
  void close();

  Wire& wire_;
  const HttpHome& home_;
  std::weak_ptr<void> owner_;
  std::function<void()> stop_telling_;
  EventQueue queue_;
  std::string out_;
  char heard_[256];
  boost::asio::steady_timer beat_, stuck_;
  bool writing_ = false, closed_ = false;
};

}  // namespace qn
