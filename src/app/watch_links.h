// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <functional>
#include <optional>
#include <vector>

#include "app/codec_link_report.h"
#include "app/live_links.h"

namespace qn {

/// One request for `quietnorth link watch`.
struct WatchRequest {
  std::vector<LinkRequest> links;
  LiveLinkOptions options;
  std::optional<LocalField> earth;
  std::optional<double> seconds;  ///< nothing: until Ctrl-C or the end of all links
  std::function<void(const LinksDocument& document)> on_tick;  ///< once a second; may be empty
};

/// Watches, records nothing. returns  how it stood at the end
/// errors   those of LiveLinks::open
Result<LinksDocument> watch_links(const WatchRequest& request);

}  // namespace qn
