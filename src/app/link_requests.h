// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "app/live_links.h"
#include "vocab/result.h"

namespace qn {

/// Options that say how links are decoded, as typed. Each may begin with the number of a link and a
/// colon ("2:heading_deg"), and is then for that one alone; else it is for all.
struct DecoderWords {
  std::vector<std::string> decoders;  ///< automatic, nmea, lines, typed
  std::vector<std::string> columns;   ///< names by position
  std::vector<std::string> maps;      ///< NAME=COLUMN
};

/// errors  OutOfRange: a decoder that is not known, a link number that was not asked for
Result<std::vector<LinkRequest>> link_requests(const std::vector<std::string>& addresses,
                                               const DecoderWords& words);

}  // namespace qn
