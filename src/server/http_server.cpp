// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <boost/asio/io_context.hpp>
#include <boost/asio/ip/tcp.hpp>
#include <boost/asio/post.hpp>
#include <boost/asio/signal_set.hpp>
#include <boost/asio/steady_timer.hpp>
#include <csignal>
#include <utility>  // before asio: Boost 1.74 uses std::exchange without including it
#include <vector>

#include "server/connections_internal.h"
#include "server/http_server_internal.h"
#include "server/http_session_internal.h"
#include "server/tls_context_internal.h"

namespace qn {
namespace {

namespace asio = boost::asio;
using asio::ip::tcp;
using boost::system::error_code;

// What a reader of a stream is given to hear that the program ends.
constexpr auto kFarewell = std::chrono::milliseconds(100);

Error cannot_listen(const std::string& address, std::uint16_t port, const std::string& option,
                    const std::string& reason) {
  return Error{ErrorKind::Io, "port " + std::to_string(port) + " cannot be opened: " + reason,
               address + ", port " + std::to_string(port), "a free port from 1024 to 65535",
               "end the program that holds the port, or choose another with " + option};
}

}  // namespace

struct HttpServer::State {
  State(const ServeOptions& options, HttpHandlers on)
      : handlers{std::move(on)}, home{io, options, handlers} {}

  /// A port, and who came in by it.
  struct Entrance {
    tcp::acceptor acceptor;
    asio::steady_timer retry;
    Connections connections;
    std::shared_ptr<asio::ssl::context> tls;  ///< null: plain

    Entrance(asio::io_context& on, const NetworkLimits& limits)
        : acceptor{on}, retry{on}, connections{limits} {}
  };

  Result<std::uint16_t> open(Entrance& entrance, const tcp::endpoint& where,
                             const std::string& option) {
    error_code failed;
    tcp::acceptor& acceptor = entrance.acceptor;
    acceptor.open(tcp::v4(), failed);
    if (!failed) acceptor.set_option(tcp::acceptor::reuse_address(true), failed);
    if (!failed) acceptor.bind(where, failed);
    if (!failed) acceptor.listen(asio::socket_base::max_listen_connections, failed);
    const auto opened = failed ? tcp::endpoint{} : acceptor.local_endpoint(failed);
    if (failed) {
      return cannot_listen(where.address().to_string(), where.port(), option, failed.message());
    }
    accept(entrance);
    return opened.port();
  }

  void accept(Entrance& entrance) {
    entrance.acceptor.async_accept([this, &entrance](error_code failed, tcp::socket socket) {
      if (!entrance.acceptor.is_open()) return;
      if (!failed) {
        error_code gone;
        const std::string peer = socket.remote_endpoint(gone).address().to_string();
        if (!gone && entrance.connections.has_room_for(peer)) {
          entrance.connections.add(start_http_session(std::move(socket), entrance.tls, home));
        }
        return accept(entrance);
      }
      // Out of file handles, most likely: look again a little later, without spinning.
      entrance.retry.expires_after(std::chrono::milliseconds(100));
      entrance.retry.async_wait([this, &entrance](error_code ended) {
        if (!ended) accept(entrance);
      });
    });
  }

  void end() {
    bool streams = false;
    for (Entrance* entrance : {&local, &network}) {
      error_code ignored;
      entrance->acceptor.close(ignored);
      entrance->connections.each(
          [&](HttpSession& session) { streams = session.end_stream() || streams; });
    }
    if (!streams) return io->stop();
    farewell.expires_after(kFarewell);
    farewell.async_wait([this](error_code ended) {
      if (!ended) io->stop();
    });
  }

  void tick(Duration time, const std::function<void()>& task) {
    clock.expires_after(as_chrono(time));
    clock.async_wait([this, time, task](error_code ended) {
      if (ended) return;
      task();
      tick(time, task);
    });
  }

  std::shared_ptr<asio::io_context> io = std::make_shared<asio::io_context>(1);
  HttpHandlers handlers;
  HttpHome home;
  Entrance local{*io, limits_of_host()},
      network{*io, home.options.lan ? home.options.lan->limits : NetworkLimits{}};
  asio::signal_set signals{*io};
  asio::steady_timer farewell{*io}, clock{*io};
};

HttpServer::HttpServer(const ServeOptions& options, HttpHandlers handlers)
    : state_{std::make_unique<State>(options, std::move(handlers))} {}

HttpServer::~HttpServer() {
  // Late answers of other threads may hold the io_context longer than this object lives; what
  // refers back to this object must be gone from it before.
  State& s = *state_;
  error_code ignored;
  s.signals.cancel(ignored);
  s.farewell.cancel();
  s.clock.cancel();
  for (State::Entrance* entrance : {&s.local, &s.network}) {
    entrance->acceptor.close(ignored);
    entrance->retry.cancel();
    entrance->connections.each([](HttpSession& session) { session.shut(); });
  }
  s.io->restart();
  s.io->poll();
}

Result<std::uint16_t> HttpServer::open() {
  State& s = *state_;
  const auto port =
      s.open(s.local, {asio::ip::address_v4::loopback(), s.home.options.port}, "--port");
  if (!port) return port;
  error_code failed;
  s.signals.add(SIGINT, failed);
  s.signals.add(SIGTERM, failed);
  s.signals.async_wait([&s](error_code stopped, int) {
    if (!stopped) s.end();
  });
  return port;
}

Result<std::uint16_t> HttpServer::open_to_network(std::uint16_t port, const CertifiedKey& shown) {
  State& s = *state_;
  if (const auto taken = show_certificate(shown); !taken) return taken.error();
  return s.open(s.network, {asio::ip::address_v4::any(), port}, "--lan-port");
}

Result<Done> HttpServer::show_certificate(const CertifiedKey& shown) {
  auto context = tls_context(shown);
  if (!context) return context.error();
  state_->network.tls = std::move(context).value();
  return Done{};
}

void HttpServer::run() { state_->io->run(); }

void HttpServer::stop() {
  asio::post(*state_->io, [&s = *state_] { s.end(); });
}

std::function<void(std::function<void()>)> HttpServer::poster() const {
  return [io = state_->io](std::function<void()> task) { asio::post(*io, std::move(task)); };
}

void HttpServer::every(Duration time, std::function<void()> task) { state_->tick(time, task); }

void HttpServer::end_visitor(const std::string& id) {
  state_->network.connections.each([&](HttpSession& session) {
    if (session.visitor() == id) session.shut();
  });
}

}  // namespace qn
