// SPDX-License-Identifier: Apache-2.0
#include <boost/asio/io_context.hpp>
#include <boost/asio/ip/tcp.hpp>
#include <boost/asio/post.hpp>
#include <boost/asio/signal_set.hpp>
#include <boost/asio/steady_timer.hpp>
#include <csignal>
#include <utility>  // before asio: Boost 1.74 uses std::exchange without including it

#include "server/http_server_internal.h"
#include "server/http_session_internal.h"

namespace qn {
namespace {

namespace asio = boost::asio;
using asio::ip::tcp;

// A browser opens about six connections; anything far beyond that is a mistake or an attack.
constexpr std::size_t kMostConnections = 64;

Error cannot_listen(std::uint16_t port, const std::string& reason) {
  return Error{ErrorKind::Io, "port " + std::to_string(port) + " cannot be opened: " + reason,
               "127.0.0.1, port " + std::to_string(port), "a free port from 1024 to 65535",
               "end the program that holds the port, or choose another with --port"};
}

}  // namespace

struct HttpServer::State {
  State(const ServeOptions& options, HttpHandlers on)
      : handlers{std::move(on)}, home{io, options, handlers} {}

  void accept() {
    acceptor.async_accept([this](boost::system::error_code failed, tcp::socket socket) {
      if (!acceptor.is_open()) return;
      if (!failed) {
        std::erase_if(sessions, [](const auto& session) { return session.expired(); });
        if (sessions.size() < kMostConnections) {
          sessions.push_back(start_http_session(std::move(socket), home));
        }
        return accept();
      }
      // Out of file handles, most likely: look again a little later, without spinning.
      retry.expires_after(std::chrono::milliseconds(100));
      retry.async_wait([this](boost::system::error_code ended) {
        if (!ended) accept();
      });
    });
  }

  std::shared_ptr<asio::io_context> io = std::make_shared<asio::io_context>(1);
  HttpHandlers handlers;
  HttpHome home;
  tcp::acceptor acceptor{*io};
  asio::signal_set signals{*io};
  asio::steady_timer retry{*io};
  std::vector<std::weak_ptr<HttpSession>> sessions;
};

HttpServer::HttpServer(const ServeOptions& options, HttpHandlers handlers)
    : state_{std::make_unique<State>(options, std::move(handlers))} {}

HttpServer::~HttpServer() {
  // Late answers of other threads may hold the io_context longer than this object lives; what
  // refers back to this object must be gone from it before.
  State& s = *state_;
  boost::system::error_code ignored;
  s.acceptor.close(ignored);
  s.signals.cancel(ignored);
  s.retry.cancel(ignored);
  for (const auto& weak : s.sessions) {
    if (const auto session = weak.lock()) session->shut();
  }
  s.io->restart();
  s.io->poll();
}

Result<std::uint16_t> HttpServer::open() {
  State& s = *state_;
  const std::uint16_t port = s.home.options.port;
  boost::system::error_code failed;
  s.acceptor.open(tcp::v4(), failed);
  if (!failed) s.acceptor.set_option(tcp::acceptor::reuse_address(true), failed);
  if (!failed) s.acceptor.bind({asio::ip::address_v4::loopback(), port}, failed);
  if (!failed) s.acceptor.listen(asio::socket_base::max_listen_connections, failed);
  if (failed) return cannot_listen(port, failed.message());
  const auto where = s.acceptor.local_endpoint(failed);
  if (failed) return cannot_listen(port, failed.message());
  s.signals.add(SIGINT, failed);
  s.signals.add(SIGTERM, failed);
  s.signals.async_wait([this](boost::system::error_code stopped, int) {
    if (!stopped) stop();
  });
  s.accept();
  return where.port();
}

void HttpServer::run() { state_->io->run(); }

void HttpServer::stop() { state_->io->stop(); }

}  // namespace qn
