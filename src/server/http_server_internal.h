// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "server/certificate.h"
#include "server/role.h"
#include "server/serve.h"

namespace qn {

/// A request, free of the HTTP library. Header values are as sent; `query` is decoded.
struct HttpRequest {
  std::string method;  ///< "GET"
  std::string path;    ///< "/api/recordings", without the query
  std::vector<std::pair<std::string, std::string>> query;
  std::string host, origin, fetch_site, file_name, content_length, cookie;
  std::string body;       ///< empty when it went into a file
  std::string body_file;  ///< its path; whoever handles the request owns the file

  // Who asks. What refuse() let through is known: the host itself, or a visitor that is paired.
  bool from_network = false;  ///< came by the port that is open to the network
  std::string peer;           ///< the other side's address, without its port
  std::string visitor;        ///< id of the pairing; empty: the host itself, or a stranger
  Role role = Role::operate;  ///< what it may do

  std::string query_value(const std::string& name) const {
    for (const auto& [key, value] : query) {
      if (key == name) return value;
    }
    return {};
  }
};

/// One line of news for a reader of a stream.
struct StreamEvent {
  std::string name, data;  ///< data without line breaks
  bool last = false;       ///< the stream ends with it
  /// False: while it waits for a slow reader, a newer one of the same name takes its place. True:
  /// it is told in any case and in order; a reader with too many of them waiting is dropped.
  bool keep = false;
};
using EventSink = std::function<void(const StreamEvent&)>;

/// Begins to tell a sink what happens: at once what is so now, then everything new. The sink may be
/// called from any thread, also after the reader has gone.
/// returns  what ends the telling; called once, on the server's thread
using EventFeed = std::function<std::function<void()>(EventSink)>;

struct HttpResponse {
  int status = 200;
  std::string content_type = "application/json";
  std::string body;
  std::string file_name;  ///< not empty: offered for saving under this name
  EventFeed events;       ///< not empty: no body; what it feeds is streamed
  std::string policy;     ///< Content-Security-Policy; empty: the page's own
  std::string cookie;     ///< not empty: Set-Cookie, whole
};

/// May be called from any thread, once.
using Reply = std::function<void(HttpResponse)>;

struct HttpHandlers {
  /// Sees the header only, and writes into it who asks. An answer refuses the request before its
  /// body is read.
  std::function<std::optional<HttpResponse>(HttpRequest&)> refuse;
  /// How much body is taken, and whether it goes into a new file of this path (empty: memory).
  std::function<std::pair<std::uint64_t, std::string>(const HttpRequest&)> body_place;
  std::function<HttpResponse(const HttpRequest&, std::uint64_t limit)> too_large;
  std::function<HttpResponse(const std::string& what)> unreadable;  ///< the header or the body
  std::function<void(HttpRequest, Reply)> handle;
};

/// The only user of the HTTP library: one thread, 127.0.0.1 and, when it is opened to it, the
/// network; every read and write with a deadline.
class HttpServer {
 public:
  HttpServer(const ServeOptions& options, HttpHandlers handlers);
  ~HttpServer();
  HttpServer(const HttpServer&) = delete;
  HttpServer& operator=(const HttpServer&) = delete;

  /// returns  the port that was opened
  Result<std::uint16_t> open();
  /// All interfaces, TLS 1.2 or later.
  Result<std::uint16_t> open_to_network(std::uint16_t port, const CertifiedKey& shown);
  Result<Done> show_certificate(const CertifiedKey& shown);  ///< to those who connect from now on
  void run();                                                ///< until stop(), SIGINT or SIGTERM

  // From any thread:
  void stop();  ///< open streams get the event `end`
  /// What has tasks done on the server's thread; after its end, it drops them.
  std::function<void(std::function<void()>)> poster() const;

  // On the server's thread, or before run():
  void every(Duration time, std::function<void()> task);
  void end_visitor(const std::string& id);  ///< all that is open for it closes at once

 private:
  struct State;
  std::unique_ptr<State> state_;
};

}  // namespace qn
