// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <functional>
#include <memory>
#include <string>
#include <vector>

#include "server/http_session_internal.h"
#include "server/network_limits.h"
#include "server/rate_limit.h"

namespace qn {

/// For the host's own entrance. A browser opens about six connections; anything far beyond that is
/// a mistake or an attack.
NetworkLimits limits_of_host();

/// The connections that came in by one entrance, in the order in which they came.
class Connections {
 public:
  explicit Connections(const NetworkLimits& limits) : limits_{limits}, opened_{limits.opened} {}

  /// Whether one more from there is taken. So that strangers cannot keep out who is paired, their
  /// oldest connection is closed when they have too many.
  bool has_room_for(const std::string& peer);
  void add(const std::shared_ptr<HttpSession>& session) { sessions_.push_back(session); }
  void each(const std::function<void(HttpSession&)>& what) const;

 private:
  NetworkLimits limits_;
  RateLimit opened_;
  std::vector<std::weak_ptr<HttpSession>> sessions_;
};

}  // namespace qn
