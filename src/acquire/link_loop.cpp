// SPDX-License-Identifier: Apache-2.0
#include "acquire/link_loop.h"

#include <poll.h>
#include <pthread.h>
#include <sys/eventfd.h>
#include <sys/signalfd.h>
#include <unistd.h>

#include <algorithm>
#include <cmath>
#include <csignal>
#include <cstdint>
#include <utility>

namespace qn {
namespace {

sigset_t stopping_signals() {
  sigset_t set;
  ::sigemptyset(&set);
  ::sigaddset(&set, SIGINT);
  ::sigaddset(&set, SIGTERM);
  ::sigaddset(&set, SIGHUP);  // the terminal was closed: the recording is still to be ended well
  return set;
}

}  // namespace

Result<std::unique_ptr<LinkLoop>> LinkLoop::make(const MonotonicClock& clock) {
  Descriptor wake{::eventfd(0, EFD_CLOEXEC | EFD_NONBLOCK)};
  if (!wake) {
    return Error{ErrorKind::Io, "no file handle is left", "links", "a few free file handles",
                 "close some programs, then try again"};
  }
  return std::unique_ptr<LinkLoop>{new LinkLoop{clock, std::move(wake)}};
}

LinkLoop::~LinkLoop() {
  if (!signals_) return;
  // A signal that was heeded is still pending: delivered now, it would end the program after all.
  signalfd_siginfo heeded{};
  while (::read(signals_.get(), &heeded, sizeof heeded) > 0) {
  }
  const sigset_t set = stopping_signals();
  ::pthread_sigmask(SIG_UNBLOCK, &set, nullptr);
}

Result<std::size_t> LinkLoop::add(std::unique_ptr<Transport> transport) {
  auto opened = transport->open(clock_.now_s());
  if (!opened) return opened.error();
  links_.push_back({std::move(transport), false});
  return links_.size();
}

void LinkLoop::stop() {
  const std::uint64_t one = 1;
  (void)!::write(wake_.get(), &one, sizeof one);
}

void LinkLoop::stop_on_signals() {
  const sigset_t set = stopping_signals();
  ::pthread_sigmask(SIG_BLOCK, &set, nullptr);
  signals_ = Descriptor{::signalfd(-1, &set, SFD_CLOEXEC | SFD_NONBLOCK)};
}

bool LinkLoop::all_ended() const {
  return std::all_of(links_.begin(), links_.end(), [](const Link& link) { return link.ended; });
}

/// False when it is time to stop.
bool LinkLoop::wait(double until_s, std::vector<bool>& ready) {
  std::vector<pollfd> polled{{wake_.get(), POLLIN, 0}, {signals_.get(), POLLIN, 0}};
  for (const Link& link : links_) {
    if (!link.ended) until_s = std::min(until_s, link.transport->due_s());
    const short events = link.transport->waits_to_write() ? POLLOUT : POLLIN;
    polled.push_back({link.ended ? -1 : link.transport->descriptor(), events, 0});
  }
  const double wait_ms = std::ceil((until_s - clock_.now_s()) * 1000.0);
  const int timeout = static_cast<int>(std::clamp(wait_ms, 0.0, 10000.0));
  if (::poll(polled.data(), polled.size(), timeout) < 0) {
    for (pollfd& one : polled) one.revents = 0;  // interrupted: look again
  }
  for (std::size_t i = 0; i < links_.size(); ++i) ready[i] = polled[i + 2].revents != 0;
  if (polled[0].revents != 0) {  // taken back, so that run() may be called again
    std::uint64_t count = 0;
    (void)!::read(wake_.get(), &count, sizeof count);
  }
  return polled[0].revents == 0 && polled[1].revents == 0;
}

Result<Done> LinkLoop::serve_links(const std::vector<bool>& ready, const Handlers& handlers) {
  std::vector<LinkEvent> events;
  for (std::size_t i = 0; i < links_.size(); ++i) {
    Link& link = links_[i];
    const double now_s = clock_.now_s();
    if (link.ended || (!ready[i] && link.transport->due_s() > now_s)) continue;
    const std::size_t before = events.size();
    link.transport->serve(now_s, events);
    for (std::size_t e = before; e < events.size(); ++e) {
      events[e].link = i + 1;
      if (events[e].kind == LinkEvent::Kind::ended) link.ended = true;
    }
  }
  std::stable_sort(events.begin(), events.end(),
                   [](const LinkEvent& a, const LinkEvent& b) { return a.time_s < b.time_s; });
  for (const LinkEvent& event : events) {
    if (auto taken = handlers.on_event(event); !taken) return taken.error();
  }
  return Done{};
}

Result<Done> LinkLoop::run(const Handlers& handlers) {
  std::vector<bool> ready(links_.size(), false);
  double tick_s = clock_.now_s() + handlers.tick_s;
  for (;;) {
    const bool go_on = wait(handlers.on_tick ? tick_s : Transport::kNever, ready);
    // What had arrived before the stop is still taken.
    if (auto served = serve_links(ready, handlers); !served) return served.error();
    const double now_s = clock_.now_s();
    if (handlers.on_tick && now_s >= tick_s) {
      tick_s = std::max(tick_s + handlers.tick_s, now_s);
      if (auto ticked = handlers.on_tick(now_s); !ticked) return ticked.error();
    }
    if (!go_on || all_ended()) return Done{};
  }
}

}  // namespace qn
