// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "app/link_report.h"

namespace qn {

/// What `link watch` and `link record` tell at their end.
struct LinksDocument {
  double seconds = 0.0;
  std::vector<LinkReport> links;
  std::optional<LocalField> earth;
  std::optional<double> utc_at_zero_s;  ///< seconds since 1970, by a satellite receiver
};

/// Schema quietnorth/links/1 (docs/formats/link-json.md).
std::string to_json(const LinksDocument& document);

}  // namespace qn
