// SPDX-License-Identifier: Apache-2.0
#include "app/watch_links.h"

#include <algorithm>

namespace qn {
namespace {

LinksDocument document_of(const LiveLinks& live, double now_s,
                          const std::optional<LocalField>& earth) {
  LinksDocument document;
  document.seconds = now_s;
  document.earth = earth;
  document.utc_at_zero_s = live.utc_at_zero_s();
  document.links = link_reports(live, now_s, earth);
  return document;
}

}  // namespace

Result<LinksDocument> watch_links(const WatchRequest& request) {
  auto opened = LiveLinks::open(request.links, request.options);
  if (!opened) return opened.error();
  LiveLinks& live = *opened.value();
  live.stop_on_signals();
  double last_s = 0.0;
  LiveLinks::Handlers handlers;
  handlers.on_event = [&](const LinkEvent& event) { last_s = std::max(last_s, event.time_s); };
  if (request.seconds) handlers.tick_s = std::min(1.0, *request.seconds);
  handlers.on_tick = [&](double now_s) -> Result<Done> {
    if (request.on_tick) request.on_tick(document_of(live, now_s, request.earth));
    if (request.seconds && live.now_s() >= *request.seconds) live.stop();
    return Done{};
  };
  auto ran = live.run(handlers);
  if (!ran) return ran.error();
  return document_of(live, std::max(last_s, live.now_s()), request.earth);
}

}  // namespace qn
