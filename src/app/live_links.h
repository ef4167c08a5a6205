// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "acquire/link_loop.h"
#include "acquire/link_receiver.h"
#include "acquire/monotonic_clock.h"
#include "acquire/transport_input.h"
#include "app/chunk_sink.h"
#include "vocab/result.h"

namespace qn {

/// One link as asked for.
struct LinkRequest {
  std::string address;  ///< as for parse_link_address()
  DecoderOptions decoder;
};

struct LiveLinkOptions {
  std::string root = "/";           ///< below which sysfs is looked for; another one in tests
  double clock_speed = 1.0;         ///< of the time line; other than 1 only for simulated sensors
  bool typed_from_program = false;  ///< "typed" takes lines from type(), not from the terminal
};

/// Several links at once on one time line, which begins when open() returns: each has its own
/// number, from 1 on in the order asked for. Raw bytes go to a sink before they are decoded.
class LiveLinks {
 public:
  /// errors  OutOfRange: an address or a decoder's option. Io, BadInput: a link cannot be opened
  static Result<std::unique_ptr<LiveLinks>> open(const std::vector<LinkRequest>& links,
                                                 const LiveLinkOptions& options);

  struct Handlers {
    ChunkSink* sink = nullptr;                                                    ///< may be none
    std::function<void(const LinkEvent& event)> on_event;                         ///< may be empty
    std::function<void(std::size_t link, const TimedReading& timed)> on_reading;  ///< may be empty
    /// About once in `tick_s`, after the sink was flushed; may be empty. An Error ends the run.
    /// now_s  on the time line: ahead of the clock when a recording is played quickly
    std::function<Result<Done>(double now_s)> on_tick;
    double tick_s = 1.0;
  };
  /// On the thread that calls it, until stop(), the end of all links, or an Error of the sink. The
  /// sink is flushed once more at the end, whatever the reason.
  Result<Done> run(const Handlers& handlers);

  /// From any thread.
  void stop() { loop_->stop(); }
  /// A line for the link "typed", from any thread.
  /// errors  Io: no such link was asked for; those of TypedLines::add
  Result<Done> type(std::string_view line);
  /// Ctrl-C ends run(); see LinkLoop.
  void stop_on_signals() { loop_->stop_on_signals(); }

  double now_s() const { return clock_.now_s(); }
  /// Seconds of the time line in a second: LiveLinkOptions::clock_speed.
  double clock_speed() const { return clock_.speed(); }
  std::size_t size() const { return receivers_.size(); }
  /// Only from the handlers, or after run().
  const LinkReceiver& receiver(std::size_t link) const { return *receivers_[link - 1]; }
  /// Recording time 0 in UTC by a satellite receiver on one of the links, seconds since 1970.
  std::optional<double> utc_at_zero_s() const;

 private:
  explicit LiveLinks(double clock_speed) : clock_{clock_speed} {}
  Result<Done> add(const LinkRequest& request, const LiveLinkOptions& options);
  Result<std::unique_ptr<Transport>> transport_for(const LinkRequest& request,
                                                   const LiveLinkOptions& options);
  Result<Done> take(const LinkEvent& event, const Handlers& handlers);

  BootClock clock_;
  std::unique_ptr<TypedLines> typed_;
  std::unique_ptr<LinkLoop> loop_;
  std::vector<std::unique_ptr<LinkReceiver>> receivers_;
  double last_event_s_ = 0.0;
};

}  // namespace qn
