// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <boost/asio/io_context.hpp>
#include <boost/asio/ip/tcp.hpp>
#include <memory>
#include <utility>  // before asio: Boost 1.74 uses std::exchange without including it

#include "server/http_server_internal.h"

namespace qn {

/// What every session of one server shares. Outlives them.
struct HttpHome {
  std::shared_ptr<boost::asio::io_context> io;
  const ServeOptions& options;
  const HttpHandlers& handlers;
};

class HttpSession {
 public:
  virtual ~HttpSession() = default;
  virtual void shut() = 0;  ///< whatever it waits for ends at once
};

/// Answers one connection until it closes.
std::shared_ptr<HttpSession> start_http_session(boost::asio::ip::tcp::socket socket,
                                                const HttpHome& home);

}  // namespace qn
