// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <catch2/catch.hpp>
#include <functional>
#include <memory>
#include <string>
#include <utility>
#include <vector>

#include "acquire/link_loop.h"
#include "acquire/monotonic_clock.h"

namespace qn::test {

/// Links served until something has happened; the other side is played from `each`, which is called
/// every few milliseconds on the same thread.
class LinkPump {
 public:
  LinkPump() {
    auto made = LinkLoop::make(clock_);
    REQUIRE(made.has_value());
    loop_ = std::move(made).value();
  }
  std::size_t add(std::unique_ptr<Transport> transport) {
    auto added = loop_->add(std::move(transport));
    if (!added) FAIL(to_text(added.error()));
    return added.value();
  }
  /// False when `done` was not so within ten seconds.
  bool until(
      const std::function<bool()>& done, const std::function<void()>& each = [] {}) {
    const double give_up_s = clock_.now_s() + 10.0;
    LinkLoop::Handlers handlers;
    bool happened = done();
    bool stopping = false;
    handlers.tick_s = 0.004;
    handlers.on_event = [&](const LinkEvent& event) {
      events.push_back(event);
      return Result<Done>{Done{}};
    };
    handlers.on_tick = [&](double now_s) {
      each();
      happened = done();
      if ((happened || now_s > give_up_s) && !std::exchange(stopping, true)) loop_->stop();
      return Result<Done>{Done{}};
    };
    if (!happened) REQUIRE(loop_->run(handlers).has_value());
    return done();
  }
  std::string bytes(std::size_t link = 1) const {
    std::string all;
    for (const LinkEvent& event : events) {
      if (event.kind == LinkEvent::Kind::bytes && event.link == link) all += event.text;
    }
    return all;
  }
  std::size_t count(LinkEvent::Kind kind, std::size_t link = 1) const {
    std::size_t n = 0;
    for (const LinkEvent& event : events) n += event.kind == kind && event.link == link ? 1 : 0;
    return n;
  }

  std::vector<LinkEvent> events;

 private:
  BootClock clock_;
  std::unique_ptr<LinkLoop> loop_;
};

}  // namespace qn::test
