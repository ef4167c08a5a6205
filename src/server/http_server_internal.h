// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "server/serve.h"

namespace qn {

/// A request, free of the HTTP library. Header values are as sent; `query` is decoded.
struct HttpRequest {
  std::string method;  ///< "GET"
  std::string path;    ///< "/api/recordings", without the query
  std::vector<std::pair<std::string, std::string>> query;
  std::string host, origin, fetch_site, file_name, content_length;
  std::string body;       ///< empty when it went into a file
  std::string body_file;  ///< its path; whoever handles the request owns the file

  std::string query_value(const std::string& name) const {
    for (const auto& [key, value] : query) {
      if (key == name) return value;
    }
    return {};
  }
};

struct HttpResponse {
  int status = 200;
  std::string content_type = "application/json";
  std::string body;
  std::string file_name;  ///< not empty: offered for saving under this name
  std::string events_of;  ///< not empty: no body; what happens to that piece of work is streamed
};

/// One line of news for a reader of a stream. News that is not last may be dropped for newer.
struct StreamEvent {
  std::string name, data;
  bool last = false;
};
using EventSink = std::function<void(const StreamEvent&)>;

/// May be called from any thread, once.
using Reply = std::function<void(HttpResponse)>;

struct HttpHandlers {
  /// Sees the header only. An answer refuses the request before its body is read.
  std::function<std::optional<HttpResponse>(const HttpRequest&)> refuse;
  /// How much body is taken, and whether it goes into a new file of this path (empty: memory).
  std::function<std::pair<std::uint64_t, std::string>(const HttpRequest&)> body_place;
  std::function<HttpResponse(const HttpRequest&, std::uint64_t limit)> too_large;
  std::function<HttpResponse(const std::string& what)> unreadable;  ///< the header or the body
  std::function<void(HttpRequest, Reply)> handle;
  /// The sink is called from any thread, at least once; what it returns ends the listening.
  std::function<std::function<void()>(const std::string& id, EventSink)> listen;
};

/// The only user of the HTTP library: one thread, 127.0.0.1, every read and write with a deadline.
class HttpServer {
 public:
  HttpServer(const ServeOptions& options, HttpHandlers handlers);
  ~HttpServer();
  HttpServer(const HttpServer&) = delete;
  HttpServer& operator=(const HttpServer&) = delete;

  /// returns  the port that was opened
  Result<std::uint16_t> open();
  void run();   ///< until stop(), SIGINT or SIGTERM
  void stop();  ///< from any thread

 private:
  struct State;
  std::unique_ptr<State> state_;
};

}  // namespace qn
