// SPDX-License-Identifier: Apache-2.0
#include "app/codec_swing_internal.h"

namespace qn {

SwingJson swing_text_or_null(const std::string& text) {
  return text.empty() ? SwingJson(nullptr) : SwingJson(text);
}

SwingJson swing_doubts(const std::vector<DoubtfulReading>& readings) {
  SwingJson out = SwingJson::array();
  for (const DoubtfulReading& r : readings) {
    out.push_back({{"row", r.row},
                   {"station_deg", r.station_deg},
                   {"indicated_deg", r.indicated_deg},
                   {"expected_deg", r.expected_deg},
                   {"likely", r.likely},
                   {"probability", r.probability},
                   {"what", r.what}});
  }
  return out;
}

SwingJson swing_source(const SwingSource& document) {
  return {{"file", document.stations_name},
          {"sha256", document.stations_sha256},
          {"readings", document.readings},
          {"left_out_deg", document.left_out_deg},
          {"stations_are", document.stations_true ? "true" : "magnetic"},
          {"variation_deg",
           document.variation_deg ? SwingJson(*document.variation_deg) : SwingJson(nullptr)}};
}

std::string swing_dumped(const SwingJson& json) {
  return json.dump(1, ' ', false, SwingJson::error_handler_t::replace);
}

}  // namespace qn
