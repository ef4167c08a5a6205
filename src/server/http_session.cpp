// SPDX-License-Identifier: Apache-2.0
#include <boost/asio/post.hpp>
#include <boost/asio/steady_timer.hpp>
#include <boost/asio/write.hpp>
#include <boost/beast/core/flat_buffer.hpp>
#include <boost/beast/core/tcp_stream.hpp>
#include <boost/beast/http.hpp>
#include <chrono>
#include <limits>
#include <optional>

#include "server/http_session_internal.h"
#include "server/http_text_internal.h"

namespace qn {
namespace {

namespace asio = boost::asio;
namespace beast = boost::beast;
namespace http = beast::http;
using boost::system::error_code;

constexpr std::uint32_t kHeaderLimitBytes = 8 * 1024;
// Small, so that a stream's reader that takes nothing shows as a write that does not end, instead
// of hiding behind megabytes of the kernel's buffer.
constexpr int kStreamSendBufferBytes = 16 * 1024;
// After a refusal the rest of the body is read and thrown away for this long: closing at once
// would reset the connection, and the answer would be lost on its way.
constexpr auto kDrainTime = std::chrono::seconds(2);

std::chrono::steady_clock::duration as_chrono(Duration d) {
  return std::chrono::duration_cast<std::chrono::steady_clock::duration>(
      std::chrono::duration<double>(d.in_s()));
}

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
  return request;
}

// Kept alive by whatever it waits for. Answers that come from another thread hold it weakly, and
// the io_context strongly: they may come after the server has ended.
class Session : public HttpSession, public std::enable_shared_from_this<Session> {
 public:
  Session(asio::ip::tcp::socket socket, const HttpHome& home)
      : stream_{std::move(socket)},
        home_{home},
        options_{home.options},
        handlers_{home.handlers},
        handling_{*home.io} {}
  ~Session() override {
    if (stop_listening_) stop_listening_();
  }
  Session(const Session&) = delete;
  Session& operator=(const Session&) = delete;

  void shut() override {
    stream_.close();
    handling_.cancel();
  }

  void read_header() {
    header_.emplace();
    header_->header_limit(kHeaderLimitBytes);
    // Judged when it is known what the body is for. Not boost::none: Boost 1.74 compares a length
    // with it and finds every body too long.
    header_->body_limit(std::numeric_limits<std::uint64_t>::max());
    stream_.expires_after(as_chrono(first_ ? options_.header_deadline : options_.idle_deadline));
    first_ = false;
    http::async_read_header(
        stream_, buffer_, *header_,
        [self = shared_from_this()](error_code failed, std::size_t) { self->on_header(failed); });
  }

 private:
  void on_header(error_code failed) {
    if (failed == http::error::header_limit) {
      HttpResponse answer = handlers_.unreadable("the header is longer than 8 KB");
      answer.status = 431;
      return refuse(std::move(answer));
    }
    if (failed.category() == make_error_code(http::error::bad_method).category() &&
        failed != http::error::end_of_stream && failed != http::error::partial_message) {
      return refuse(handlers_.unreadable(failed.message()));
    }
    if (failed) return;  // closed by the other side, or too slow
    request_ = header_of(*header_);
    keep_alive_ = header_->get().keep_alive();
    if (auto answer = handlers_.refuse(request_)) return refuse(std::move(*answer));
    std::tie(limit_, request_.body_file) = handlers_.body_place(request_);
    if (const auto length = header_->content_length(); length && *length > limit_) {
      return refuse(handlers_.too_large(request_, limit_));
    }
    if (beast::iequals(header_->get()[http::field::expect], "100-continue")) {
      return write_text("HTTP/1.1 100 Continue\r\n\r\n", [this] { read_body(); });
    }
    read_body();
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
    if (failed) return refuse(handlers_.unreadable("no file could be made: " + failed.message()));
    read_piece(*file_body_);
  }

  // Piece by piece, so that a long upload lives as long as it moves and a stuck one ends.
  template <class Parser>
  void read_piece(Parser& parser) {
    if (parser.is_done()) return on_body(parser);
    stream_.expires_after(as_chrono(options_.idle_deadline));
    http::async_read_some(
        stream_, buffer_, parser,
        [self = shared_from_this(), &parser](error_code failed, std::size_t) {
          if (failed == http::error::body_limit) {
            return self->refuse(self->handlers_.too_large(self->request_, self->limit_));
          }
          if (failed == beast::error::timeout || failed == http::error::partial_message) return;
          if (failed) return self->refuse(self->handlers_.unreadable(failed.message()));
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
        if (!self || !self->stream_.socket().is_open()) return;
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
    if (!what.events_of.empty()) return stream_events(what.events_of);
    response_.emplace();
    response_->version(11);
    response_->result(static_cast<unsigned>(what.status));
    for (const auto& [name, value] : safety_headers(what)) response_->set(name, value);
    response_->body() = std::move(what.body);
    response_->keep_alive(keep_alive_);
    response_->prepare_payload();
    stream_.expires_after(as_chrono(options_.write_deadline));
    http::async_write(stream_, *response_,
                      [self = shared_from_this()](error_code failed, std::size_t) {
                        self->response_.reset();
                        if (failed) return;
                        if (self->keep_alive_) return self->read_header();
                        self->close();
                      });
  }

  void close() {
    error_code ignored;
    stream_.socket().shutdown(asio::ip::tcp::socket::shutdown_send, ignored);
    if (!drain_) return;
    stream_.expires_after(kDrainTime);
    drain();
  }

  void drain() {
    buffer_.clear();
    stream_.async_read_some(buffer_.prepare(64 * 1024),
                            [self = shared_from_this()](error_code failed, std::size_t) {
                              if (!failed) self->drain();
                            });
  }

  void stream_events(const std::string& fit_id) {
    error_code ignored;
    stream_.socket().set_option(asio::socket_base::send_buffer_size(kStreamSendBufferBytes),
                                ignored);
    std::string head = "HTTP/1.1 200 OK\r\nConnection: close\r\n";
    HttpResponse what;
    what.content_type = "text/event-stream";
    for (const auto& [name, value] : safety_headers(what))
      head.append(name).append(": ").append(value).append("\r\n");
    watch_for_end();
    write_text(head + "\r\n", [this] { send_next_event(); });
    stop_listening_ = handlers_.listen(
        fit_id, [weak = weak_from_this(), io = home_.io](const StreamEvent& event) {
          asio::post(*io, [weak, event] {
            if (const auto self = weak.lock()) self->on_event(event);
          });
        });
  }

  // A stream's reader sends nothing more; what can be read is only that it has gone. This read
  // also keeps the session alive between events.
  void watch_for_end() {
    stream_.expires_never();
    stream_.async_read_some(buffer_.prepare(256),
                            [self = shared_from_this()](error_code failed, std::size_t) {
                              if (!failed) return self->watch_for_end();
                              self->gone_ = true;
                              self->stream_.close();
                            });
  }

  void on_event(const StreamEvent& event) {
    if (gone_ || ended_) return;
    const std::string text = "event: " + event.name + "\ndata: " + event.data + "\n\n";
    // Only the newest news waits, so a slow reader costs no memory; the last word always waits.
    (event.last ? last_word_ : news_) = text;
    if (!writing_) send_next_event();
  }

  void send_next_event() {
    std::string text = std::exchange(news_, {});
    text += last_word_;
    if (text.empty()) return;
    ended_ = !last_word_.empty();
    last_word_.clear();
    write_text(std::move(text), [this] {
      if (!ended_) return send_next_event();
      close();
      stream_.close();
    });
  }

  template <class Then>
  void write_text(std::string text, Then then) {
    writing_ = true;
    out_ = std::move(text);
    stream_.expires_after(as_chrono(options_.write_deadline));
    asio::async_write(stream_, asio::buffer(out_),
                      [self = shared_from_this(), then](error_code failed, std::size_t) {
                        self->writing_ = false;
                        if (!failed) return then();
                        self->gone_ = true;
                        self->stream_.close();
                      });
  }

  beast::tcp_stream stream_;
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

  // A stream of events.
  std::function<void()> stop_listening_;
  std::string out_, news_, last_word_;
  bool writing_ = false, ended_ = false, gone_ = false;
};

}  // namespace

std::shared_ptr<HttpSession> start_http_session(asio::ip::tcp::socket socket,
                                                const HttpHome& home) {
  auto session = std::make_shared<Session>(std::move(socket), home);
  session->read_header();
  return session;
}

}  // namespace qn
