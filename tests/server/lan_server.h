// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <atomic>
#include <condition_variable>
#include <mutex>
#include <nlohmann/json.hpp>
#include <string>
#include <utility>

#include "server/running_server.h"
#include "server/tls_client.h"
#include "support/temporary_folder.h"

namespace qn::test {

/// The real server, open to a network that is this machine: 127.0.0.1 and "hangar.local".
class LanServer {
 public:
  explicit LanServer(ServeOptions options = {}, LanOptions lan = {})
      : server_{with_network(std::move(options), std::move(lan))} {}

  std::uint16_t host_port() const { return server_.port(); }
  std::uint16_t port() const { return server_.listening().lan_port; }
  const RunningServer& host() const { return server_; }
  RunningServer& host() { return server_; }
  std::string own_host() const { return "127.0.0.1:" + std::to_string(port()); }
  std::string origin() const { return "https://" + own_host(); }
  std::string key_file() const { return folder_.path("state/network-door.pem"); }
  void let_pass(double seconds) { later_s_ = later_s_ + seconds; }

  nlohmann::json pairing() const {
    return nlohmann::json::parse(qn::test::ask(host_port(), "GET", "/api/pairing").body);
  }
  std::string new_code(const std::string& role = "operate") const {
    const std::string body = nlohmann::json{{"role", role}}.dump();
    return nlohmann::json::parse(qn::test::ask(host_port(), "POST", "/api/pairing", body).body)
        .at("code");
  }

  /// One request from the network, on a connection of its own; `headers` are whole lines.
  Answer ask(const std::string& method, const std::string& target, const std::string& body = "",
             const std::string& headers = "", const std::string& host = "") const {
    TlsClient client{port()};
    client.send(request(method, target, body, headers, host));
    return parted(client.read_to_end());
  }
  std::string request(const std::string& method, const std::string& target,
                      const std::string& body = "", const std::string& headers = "",
                      const std::string& host = "", const std::string& connection = "close") const {
    std::string text = method + " " + target + " HTTP/1.1\r\nConnection: " + connection +
                       "\r\nHost: " + (host.empty() ? own_host() : host) + "\r\n" + headers;
    if (!body.empty() || method == "POST") {
      text += "Content-Length: " + std::to_string(body.size()) + "\r\n";
    }
    return text + "\r\n" + body;
  }
  std::string origin_line() const { return "Origin: " + origin() + "\r\n"; }

  Answer enter(const std::string& code, const std::string& name = "phone") const {
    return ask("POST", "/api/pair", nlohmann::json{{"code", code}, {"name", name}}.dump(),
               origin_line());
  }
  /// Pairs. returns  the header line with which the device shows itself
  std::string paired(const std::string& role = "operate") const {
    const Answer answer = enter(new_code(role));
    const std::string start = "Set-Cookie: ";
    const std::size_t from = answer.head.find(start);
    if (answer.status != 204 || from == std::string::npos) return {};
    const std::size_t end = answer.head.find(';', from);
    return "Cookie: " + answer.head.substr(from + start.size(), end - from - start.size()) + "\r\n";
  }

 private:
  ServeOptions with_network(ServeOptions options, LanOptions lan) {
    lan.port = 0;
    lan.state_folder = folder_.path("state");
    lan.names = [] { return OwnNames{{"127.0.0.1"}, {"hangar.local"}}; };
    lan.now_s = [this] { return monotonic_s() + later_s_; };
    // Many tests in a second from one address.
    if (lan.limits.unpaired.burst == NetworkLimits{}.unpaired.burst) {
      lan.limits.unpaired = {1000.0, 1000.0};
      lan.limits.opened = {1000.0, 1000.0};
    }
    options.lan = std::move(lan);
    return options;
  }

  TemporaryFolder folder_;
  std::atomic<double> later_s_ = 0.0;
  RunningServer server_;
};

}  // namespace qn::test
