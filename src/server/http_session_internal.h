// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <boost/asio/io_context.hpp>
#include <boost/asio/ip/tcp.hpp>
#include <boost/asio/ssl/context.hpp>
#include <chrono>
#include <memory>
#include <string>
#include <utility>  // before asio: Boost 1.74 uses std::exchange without including it

#include "server/http_server_internal.h"

namespace qn {

/// What every session of one server shares. Outlives them.
struct HttpHome {
  std::shared_ptr<boost::asio::io_context> io;
  const ServeOptions& options;
  const HttpHandlers& handlers;
};

inline std::chrono::steady_clock::duration as_chrono(Duration d) {
  return std::chrono::duration_cast<std::chrono::steady_clock::duration>(
      std::chrono::duration<double>(d.in_s()));
}

class HttpSession {
 public:
  virtual ~HttpSession() = default;
  virtual void shut() = 0;  ///< whatever it waits for ends at once
  /// A stream ends with the event `end`.
  /// returns  whether it is one
  virtual bool end_stream() = 0;
  virtual const std::string& peer() const = 0;     ///< address, without the port
  virtual const std::string& visitor() const = 0;  ///< who asked last; empty: host, or a stranger
};

/// Answers one connection until it closes.
///
/// tls  null: plain, from this machine itself
std::shared_ptr<HttpSession> start_http_session(boost::asio::ip::tcp::socket socket,
                                                std::shared_ptr<boost::asio::ssl::context> tls,
                                                const HttpHome& home);

}  // namespace qn
