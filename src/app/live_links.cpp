// SPDX-License-Identifier: Apache-2.0
#include "app/live_links.h"

#include <algorithm>
#include <utility>

#include "acquire/link_address.h"

namespace qn {

Result<std::unique_ptr<LiveLinks>> LiveLinks::open(const std::vector<LinkRequest>& links,
                                                   const LiveLinkOptions& options) {
  if (links.empty()) {
    return Error{ErrorKind::OutOfRange, "no link is named", "command line",
                 "one link or more, such as /dev/ttyUSB0@38400",
                 "name one; 'quietnorth link list' shows what there is"};
  }
  std::unique_ptr<LiveLinks> live{new LiveLinks{options.clock_speed}};
  auto loop = LinkLoop::make(live->clock_);
  if (!loop) return loop.error();
  live->loop_ = std::move(loop).value();
  for (const LinkRequest& request : links) {
    if (auto added = live->add(request, options); !added) return added.error();
  }
  return live;
}

Result<std::unique_ptr<Transport>> LiveLinks::transport_for(const LinkRequest& request,
                                                            const LiveLinkOptions& options) {
  const auto address = parse_link_address(request.address);
  if (!address) return address.error();
  if (address.value().kind != LinkAddress::Kind::typed || !options.typed_from_program) {
    return make_transport(address.value(), options.root);
  }
  if (typed_) {
    return Error{ErrorKind::OutOfRange, "two links are for typed readings", "link 'typed'",
                 "one of them; a name before each reading tells instruments apart",
                 "leave one out"};
  }
  auto typed = TypedLines::make();
  if (!typed) return typed.error();
  typed_ = std::move(typed).value();
  return typed_->transport("typed");
}

Result<Done> LiveLinks::add(const LinkRequest& request, const LiveLinkOptions& options) {
  auto transport = transport_for(request, options);
  if (!transport) return transport.error();
  LinkDescription description;
  description.link = receivers_.size() + 1;
  description.address = request.address;
  description.decoder = request.decoder;
  if (request.address == "typed") description.decoder.kind = DecoderKind::typed;
  description.pieces_are_whole = transport.value()->pieces_are_whole();
  description.joins_midway = transport.value()->joins_midway();
  auto receiver = LinkReceiver::make(std::move(description));
  if (!receiver) return receiver.error();
  auto number = loop_->add(std::move(transport).value());
  if (!number) return number.error();
  receivers_.push_back(std::move(receiver).value());
  return Done{};
}

Result<Done> LiveLinks::take(const LinkEvent& event, const Handlers& handlers) {
  last_event_s_ = std::max(last_event_s_, event.time_s);
  if (handlers.sink != nullptr) {
    if (auto kept = handlers.sink->add(event); !kept) return kept.error();
  }
  if (handlers.on_event) handlers.on_event(event);
  std::vector<TimedReading> readings;
  receivers_[event.link - 1]->take(event, readings);
  if (!handlers.on_reading) return Done{};
  for (const TimedReading& timed : readings) handlers.on_reading(event.link, timed);
  return Done{};
}

Result<Done> LiveLinks::run(const Handlers& handlers) {
  if (handlers.sink != nullptr) {
    for (const auto& receiver : receivers_) {
      if (auto added = handlers.sink->add_link(receiver->description()); !added) {
        return added.error();
      }
    }
  }
  LinkLoop::Handlers inner;
  inner.tick_s = handlers.tick_s;
  inner.on_event = [&](const LinkEvent& event) { return take(event, handlers); };
  inner.on_tick = [&](double clock_s) -> Result<Done> {
    // A recording that is played quickly is ahead of the clock.
    const double now_s = std::max(clock_s, last_event_s_);
    if (handlers.sink != nullptr) {
      if (auto flushed = handlers.sink->flush(now_s); !flushed) return flushed.error();
    }
    return handlers.on_tick ? handlers.on_tick(now_s) : Result<Done>{Done{}};
  };
  auto ran = loop_->run(inner);
  if (handlers.sink != nullptr) {
    auto flushed = handlers.sink->flush(std::max(clock_.now_s(), last_event_s_));
    if (ran && !flushed) return flushed.error();
  }
  return ran;
}

Result<Done> LiveLinks::type(std::string_view line) {
  if (typed_) return typed_->add(line);
  return Error{ErrorKind::Io, "there is no link for typed readings", "typed reading",
               "a recording with the link 'typed'", "start the recording with it"};
}

std::optional<double> LiveLinks::utc_at_zero_s() const {
  for (const auto& receiver : receivers_) {
    if (const auto utc = receiver->timer().utc_at_zero_s()) return utc;
  }
  return std::nullopt;
}

}  // namespace qn
