// SPDX-License-Identifier: Apache-2.0
#include <boost/asio/post.hpp>
#include <boost/asio/steady_timer.hpp>
#include <boost/asio/write.hpp>
#include <boost/beast/core/flat_buffer.hpp>
#include <boost/beast/http.hpp>
#include <chrono>
#include <limits>
#include <optional>
#include <utility>  // before asio: Boost 1.74 uses std::exchange without including it

#include "server/event_stream_internal.h"
#include "server/http_session_internal.h"
#include "server/http_text_internal.h"
#include "server/wire_internal.h"

namespace qn {
namespace {

namespace asio = boost::asio;
namespace beast = boost::beast;
namespace http = beast::http;
using boost::system::error_code;

constexpr std::uint32_t kHeaderLimitBytes = 8 * 1024;
// After a refusal the rest of the body is read and thrown away for this long: closing at once
// would reset the connection, and the answer would be lost on its way.
constexpr auto kDrainTime = std::chrono::seconds(2);

HttpRequest header_of(const http::request_parser<http::empty_body>& parser) {
  const auto& message = parser.get();
  const auto text = [&](auto name) { return std::string(message[name]); };
  HttpRequest request;
  request.method = std::string(message.method_string());
  split_target(std::string(message.target()), request.path, request.query);
  request.host = text(http::field::host);
  request.origin = text(http::field::origin);
  request.fetch_site = text("Sec-Fetch-Site");
  request.file_name = percent_decoded(text("X-File-Name"));
  request.content_length = text(http::field::content_length);
  request.cookie = text(http::field::cookie);
  return request;
}

// Kept alive by whatever it waits for. Answers that come from another thread hold it weakly, and
// the io_context strongly: they may come after the server has ended.
class Session : public HttpSession, public std::enable_shared_from_this<Session> {
 public:
  Session(asio::ip::tcp::socket socket, std::shared_ptr<asio::ssl::context> tls,
          const HttpHome& home)
      : wire_{std::move(socket), std::move(tls)},
        home_{home},
        options_{home.options},
        handlers_{home.handlers},
        handling_{*home.io} {
    error_code ignored;
    peer_ = below().socket().remote_endpoint(ignored).address().to_string();
    // An event of a few hundred bytes must not wait for the reader's word on the one before it.
    below().socket().set_option(asio::ip::tcp::no_delay(true), ignored);
  }
  Session(const Session&) = delete;
  Session& operator=(const Session&) = delete;

  void shut() override {
    below().close();
    handling_.cancel();
  }
  bool end_stream() override {
    if (events_) events_->end();
    return events_.has_value();
  }
  const std::string& peer() const override { return peer_; }
  const std::string& visitor() const override { return visitor_; }

  void start() {
    if (!wire_.is_tls()) return read_header();
    below().expires_after(as_chrono(options_.handshake_deadline));
    wire_.tls().async_handshake(asio::ssl::stream_base::server,
                                [self = shared_from_this()](error_code failed) {
                                  if (!failed) self->read_header();
                                });
  }

 private:
  beast::tcp_stream& below() { return wire_.below(); }

  void read_header() {
    request_ = {};
    header_.emplace();
    header_->header_limit(kHeaderLimitBytes);
    // Judged when it is known what the body is for. Not boost::none: Boost 1.74 compares a length
    // with it and finds every body too long.
    header_->body_limit(std::numeric_limits<std::uint64_t>::max());
    below().expires_after(as_chrono(first_ ? options_.header_deadline : options_.idle_deadline));
    first_ = false;
    http::async_read_header(
        wire_, buffer_, *header_,
        [self = shared_from_this()](error_code failed, std::size_t) { self->on_header(failed); });
  }

  void on_header(error_code failed) {
    if (failed == http::error::header_limit) {
      HttpResponse answer = unreadable("the header is longer than 8 KB");
      if (!answer.body.empty()) answer.status = 431;
      return refuse(std::move(answer));
    }
    if (failed.category() == make_error_code(http::error::bad_method).category() &&
        failed != http::error::end_of_stream && failed != http::error::partial_message) {
      return refuse(unreadable(failed.message()));
    }
    if (failed) return;  // closed by the other side, or too slow
    request_ = header_of(*header_);
    request_.from_network = wire_.is_tls();
    request_.peer = peer_;
    keep_alive_ = header_->get().keep_alive();
    auto answer = handlers_.refuse(request_);
    visitor_ = request_.visitor;
    if (answer) return refuse(std::move(*answer));
    std::tie(limit_, request_.body_file) = handlers_.body_place(request_);
    if (const auto length = header_->content_length(); length && *length > limit_) {
      return refuse(too_large());
    }
    if (beast::iequals(header_->get()[http::field::expect], "100-continue")) {
      return say_continue();
    }
    read_body();
  }

  void say_continue() {
    static constexpr std::string_view kContinue = "HTTP/1.1 100 Continue\r\n\r\n";
    below().expires_after(as_chrono(options_.write_deadline));
    asio::async_write(wire_, asio::buffer(kContinue),
                      [self = shared_from_this()](error_code failed, std::size_t) {
                        if (!failed) self->read_body();
                      });
  }

  // What a stranger on the network did wrong is not explained to it.
  bool stranger() const { return wire_.is_tls() && request_.visitor.empty(); }
  HttpResponse unreadable(const std::string& what) const {
    return stranger() ? nothing_to_see() : handlers_.unreadable(what);
  }
  HttpResponse too_large() const {
    return stranger() ? nothing_to_see() : handlers_.too_large(request_, limit_);
  }

  void read_body() {
    if (request_.body_file.empty()) {
      text_body_.emplace(std::move(*header_));
      text_body_->body_limit(limit_);
      return read_piece(*text_body_);
    }
    file_body_.emplace(std::move(*header_));
    file_body_->body_limit(limit_);
    error_code failed;
    file_body_->get().body().open(request_.body_file.c_str(), beast::file_mode::write, failed);
    if (failed) return refuse(unreadable("no file could be made: " + failed.message()));
    read_piece(*file_body_);
  }

  // Piece by piece, so that a long upload lives as long as it moves and a stuck one ends.
  template <class Parser>
  void read_piece(Parser& parser) {
    if (parser.is_done()) return on_body(parser);
    below().expires_after(as_chrono(options_.idle_deadline));
    http::async_read_some(
        wire_, buffer_, parser,
        [self = shared_from_this(), &parser](error_code failed, std::size_t) {
          if (failed == http::error::body_limit) {
            return self->refuse(self->too_large());
          }
          if (failed == beast::error::timeout || failed == http::error::partial_message) return;
          if (failed) return self->refuse(self->unreadable(failed.message()));
          self->read_piece(parser);
        });
  }

  template <class Parser>
  void on_body(Parser& parser) {
    if constexpr (std::is_same_v<Parser, http::request_parser<http::string_body>>) {
      request_.body = std::move(parser.get().body());
    } else {
      parser.get().body().close();
    }
    text_body_.reset();
    file_body_.reset();
    handling_.expires_at(std::chrono::steady_clock::time_point::max());
    handling_.async_wait([self = shared_from_this()](error_code) {});
    handlers_.handle(std::move(request_), [weak = weak_from_this(), io = home_.io](HttpResponse a) {
      asio::post(*io, [weak, a = std::move(a)]() mutable {
        const auto self = weak.lock();
        if (!self || !self->below().socket().is_open()) return;
        self->handling_.cancel();
        self->answer(std::move(a));
      });
    });
    request_ = {};
  }

  // For requests whose body was not read to its end: says why, then reads the rest into nothing.
  void refuse(HttpResponse why) {
    keep_alive_ = false;
    drain_ = true;
    answer(std::move(why));
  }

  void answer(HttpResponse what) {
    if (what.events) {
      events_.emplace(wire_, home_, weak_from_this());
      return events_->start(what);
    }
    response_.emplace();
    response_->version(11);
    response_->result(static_cast<unsigned>(what.status));
    for (const auto& [name, value] : safety_headers(what)) response_->set(name, value);
    response_->body() = std::move(what.body);
    response_->keep_alive(keep_alive_);
    response_->prepare_payload();
    if (what.status == 204) response_->erase(http::field::content_length);  // RFC 9110, 8.6
    below().expires_after(as_chrono(options_.write_deadline));
    http::async_write(wire_, *response_,
                      [self = shared_from_this()](error_code failed, std::size_t) {
                        self->response_.reset();
                        if (failed) return;
                        if (self->keep_alive_) return self->read_header();
                        self->close();
                      });
  }

  void close() {
    if (wire_.is_tls() && !drain_) {  // says that this was all, and hears the same
      below().expires_after(kDrainTime);
      return wire_.tls().async_shutdown(
          [self = shared_from_this()](error_code) { self->below().close(); });
    }
    error_code ignored;
    below().socket().shutdown(asio::ip::tcp::socket::shutdown_send, ignored);
    if (!drain_) return;
    below().expires_after(kDrainTime);
    drain();
  }

  void drain() {
    buffer_.clear();
    wire_.async_read_some(buffer_.prepare(64 * 1024),
                          [self = shared_from_this()](error_code failed, std::size_t) {
                            if (!failed) self->drain();
                          });
  }

  Wire wire_;
  const HttpHome& home_;
  const ServeOptions& options_;
  const HttpHandlers& handlers_;
  asio::steady_timer handling_;  // never fires: it holds the session while others work for it
  beast::flat_buffer buffer_{256 * 1024};
  std::optional<http::request_parser<http::empty_body>> header_;
  std::optional<http::request_parser<http::string_body>> text_body_;
  std::optional<http::request_parser<http::file_body>> file_body_;
  std::optional<http::response<http::string_body>> response_;
  HttpRequest request_;
  std::uint64_t limit_ = 0;
  bool first_ = true, keep_alive_ = false, drain_ = false;
  std::string peer_, visitor_;
  std::optional<EventStream> events_;
};

}  // namespace

std::shared_ptr<HttpSession> start_http_session(asio::ip::tcp::socket socket,
                                                std::shared_ptr<asio::ssl::context> tls,
                                                const HttpHome& home) {
  auto session = std::make_shared<Session>(std::move(socket), std::move(tls), home);
  session->start();
  return session;
}

}  // namespace qn
