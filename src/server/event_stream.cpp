// SPDX-License-Identifier: Apache-2.0
#include <netinet/in.h>
#include <netinet/tcp.h>
#include <sys/socket.h>

#include <boost/asio/post.hpp>
#include <boost/asio/write.hpp>
#include <chrono>
#include <utility>

#include "server/event_stream_internal.h"
#include "server/http_text_internal.h"

namespace qn {
namespace {

namespace asio = boost::asio;
using boost::system::error_code;

// Small, so that a stream's reader that takes nothing shows as a write that does not end, instead
// of hiding behind megabytes of the kernel's buffer.
constexpr int kSendBufferBytes = 16 * 1024;
// A reader that went out of reach says nothing; without this its connection is held a quarter of an
// hour, as long as what it was sent fits into that buffer.
void forget_silent_reader(int socket, Duration after) {
  const auto ms = static_cast<unsigned>(1000.0 * after.in_s());
  ::setsockopt(socket, IPPROTO_TCP, TCP_USER_TIMEOUT, &ms, sizeof ms);
}

}  // namespace

EventStream::EventStream(Wire& wire, const HttpHome& home, std::weak_ptr<void> owner)
    : wire_{wire}, home_{home}, owner_{std::move(owner)}, beat_{*home.io}, stuck_{*home.io} {}

EventStream::~EventStream() {
  if (stop_telling_) stop_telling_();
}

void EventStream::start(const HttpResponse& what) {
  error_code ignored;
  auto& socket = wire_.below().socket();
  socket.set_option(asio::socket_base::send_buffer_size(kSendBufferBytes), ignored);
  forget_silent_reader(socket.native_handle(), home_.options.write_deadline);
  std::string head = "HTTP/1.1 200 OK\r\nConnection: close\r\n";
  HttpResponse shown = what;
  shown.content_type = "text/event-stream";
  for (const auto& [name, value] : safety_headers(shown))
    head.append(name).append(": ").append(value).append("\r\n");
  watch_for_end();
  write(head + "\r\n");
  beat();
  stop_telling_ = what.events([this, owner = owner_, io = home_.io](const StreamEvent& event) {
    asio::post(*io, [this, owner, event] {
      if (const auto alive = owner.lock()) push(event);
    });
  });
}

// A stream's reader sends nothing more; what can be read is only that it has gone. This read also
// keeps the owner alive between events.
void EventStream::watch_for_end() {
  wire_.below().expires_never();
  wire_.async_read_some(asio::buffer(heard_),
                        [this, alive = owner_.lock()](error_code failed, std::size_t) {
                          if (failed) return close();
                          watch_for_end();
                        });
}

// Says nothing, so that both sides, and what lies between them, see that the line is alive.
void EventStream::beat() {
  beat_.expires_after(as_chrono(home_.options.stream_pulse));
  beat_.async_wait([this, owner = owner_](error_code stopped) {
    const auto alive = owner.lock();
    if (stopped || !alive || closed_) return;
    if (!writing_ && !queue_.ended()) write(":\n\n");
    beat();
  });
}

void EventStream::push(const StreamEvent& event) {
  if (closed_) return;
  if (!queue_.push(event)) return close();
  if (!writing_) send_next();
}

void EventStream::end() { push({"end", "{}", true}); }

void EventStream::send_next() {
  std::string text = queue_.take();
  if (!text.empty()) return write(std::move(text));
  if (queue_.ended()) close();
}

// With a deadline of its own: the stream's read, which has none, is going on at the same time.
void EventStream::write(std::string text) {
  writing_ = true;
  out_ = std::move(text);
  stuck_.expires_after(as_chrono(home_.options.write_deadline));
  stuck_.async_wait([this, owner = owner_](error_code in_time) {
    const auto alive = owner.lock();
    // Asked again: it may have been set anew while this was on its way.
    if (!in_time && alive && stuck_.expiry() <= std::chrono::steady_clock::now()) close();
  });
  asio::async_write(wire_, asio::buffer(out_),
                    [this, alive = owner_.lock()](error_code failed, std::size_t) {
                      writing_ = false;
                      stuck_.cancel();
                      if (failed) return close();
                      if (!closed_) send_next();
                    });
}

void EventStream::close() {
  if (std::exchange(closed_, true)) return;
  beat_.cancel();
  stuck_.cancel();
  if (!queue_.ended() || writing_ || !wire_.is_tls()) {
    error_code ignored;
    if (queue_.ended()) {
      wire_.below().socket().shutdown(asio::ip::tcp::socket::shutdown_send, ignored);
    }
    return wire_.below().close();
  }
  // A last word came to its end: TLS says so itself, or the reader could take it for a cut cable.
  stuck_.expires_after(std::chrono::milliseconds(200));
  stuck_.async_wait([this, owner = owner_](error_code in_time) {
    const auto alive = owner.lock();
    if (!in_time && alive) wire_.below().close();
  });
  wire_.tls().async_shutdown([this, alive = owner_.lock()](error_code) {
    stuck_.cancel();
    wire_.below().close();
  });
}

}  // namespace qn
