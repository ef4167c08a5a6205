// SPDX-License-Identifier: Apache-2.0
#include <algorithm>

#include "server/connections_internal.h"
#include "server/lan_options.h"

namespace qn {

NetworkLimits limits_of_host() {
  NetworkLimits limits;
  limits.strangers = limits.per_address = limits.connections;
  limits.opened = {1e9, 1e9};  // a loop on this machine harms nobody else
  return limits;
}

bool Connections::has_room_for(const std::string& peer) {
  if (!opened_.take(peer, monotonic_s())) return false;
  std::erase_if(sessions_, [](const auto& session) { return session.expired(); });
  std::size_t from_there = 0, strangers = 0;
  auto oldest_stranger = sessions_.end();
  for (auto at = sessions_.begin(); at != sessions_.end(); ++at) {
    const auto session = at->lock();
    if (session->peer() == peer) ++from_there;
    if (!session->visitor().empty()) continue;
    if (strangers++ == 0) oldest_stranger = at;
  }
  if (from_there >= limits_.per_address) return false;
  if (strangers >= limits_.strangers && strangers < limits_.connections) {
    oldest_stranger->lock()->shut();
    sessions_.erase(oldest_stranger);
  }
  return sessions_.size() < limits_.connections;
}

void Connections::each(const std::function<void(HttpSession&)>& what) const {
  for (const auto& weak : sessions_) {
    if (const auto session = weak.lock()) what(*session);
  }
}

}  // namespace qn
