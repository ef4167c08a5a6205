// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <functional>
#include <memory>
#include <vector>

#include "acquire/descriptor.h"
#include "acquire/monotonic_clock.h"
#include "acquire/transport.h"

namespace qn {

/// Serves several links on the thread that calls run(), and hands on what happens in the order of
/// its arrival.
class LinkLoop {
 public:
  /// errors  Io: no file handle is left
  static Result<std::unique_ptr<LinkLoop>> make(const MonotonicClock& clock);
  ~LinkLoop();
  LinkLoop(const LinkLoop&) = delete;
  LinkLoop& operator=(const LinkLoop&) = delete;

  /// Opens the link. returns  its number, counted from 1
  /// errors   those of Transport::open
  Result<std::size_t> add(std::unique_ptr<Transport> transport);
  const Transport& link(std::size_t number) const { return *links_[number - 1].transport; }

  struct Handlers {
    /// Each event; an Error ends the loop and is returned by run().
    std::function<Result<Done>(const LinkEvent& event)> on_event;
    /// About every `tick_s`, after the events of that moment; the same for an Error.
    std::function<Result<Done>(double now_s)> on_tick;
    double tick_s = 1.0;
  };
  /// Until stop(), a stopping signal, or the end of all links.
  Result<Done> run(const Handlers& handlers);

  /// From any thread, or a signal handler.
  void stop();
  /// Ctrl-C and SIGTERM end run() in place of the program. For a program's main thread, before any
  /// other is started; undone by the destructor.
  void stop_on_signals();

 private:
  LinkLoop(const MonotonicClock& clock, Descriptor wake) : clock_{clock}, wake_{std::move(wake)} {}
  struct Link {
    std::unique_ptr<Transport> transport;
    bool ended = false;
  };
  bool wait(double until_s, std::vector<bool>& ready);
  bool all_ended() const;
  Result<Done> serve_links(const std::vector<bool>& ready, const Handlers& handlers);

  const MonotonicClock& clock_;
  Descriptor wake_;
  Descriptor signals_;
  std::vector<Link> links_;
};

}  // namespace qn
