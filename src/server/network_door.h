// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "server/http_server_internal.h"
#include "server/network_limits.h"
#include "server/own_names.h"
#include "server/pairing.h"
#include "server/rate_limit.h"

namespace qn {

/// Stands between the network and everything else: says who asks, and lets through what that one
/// may do. A stranger is told nothing, whether what it asks for exists or not: it is answered
/// before that is looked up. What comes from the host itself passes untouched.
class NetworkDoor {
 public:
  NetworkDoor(Pairing& pairing, const NetworkLimits& limits) : pairing_{pairing}, limits_{limits} {}

  /// The names that Host may have, for the port that was opened.
  void open_for(const OwnNames& names, std::uint16_t port);

  HttpHandlers before(HttpHandlers inner);

 private:
  std::optional<HttpResponse> judge(HttpRequest& request);
  std::optional<HttpResponse> judge_stranger(const HttpRequest& request) const;
  std::optional<HttpResponse> judge_visitor(const HttpRequest& request) const;
  bool same_origin(const HttpRequest& request) const;
  std::uint64_t most_bytes(const HttpRequest& request) const;

  Pairing& pairing_;
  NetworkLimits limits_;
  std::vector<std::string> hosts_;  // with the port
  RateLimit paired_{limits_.paired}, unpaired_{limits_.unpaired};
};

/// The name of the cookie that carries the token; browsers see to it that a cookie named so is
/// secure, of this very host and of the whole site.
inline constexpr const char* kPairingCookie = "__Host-quietnorth";

/// Set-Cookie for a token.
std::string pairing_cookie(const std::string& token);

/// The token in a Cookie header; empty: none.
std::string token_in(const std::string& cookies);

}  // namespace qn
