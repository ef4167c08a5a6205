// SPDX-License-Identifier: Apache-2.0
#include "app/codec_link_report.h"

#include <nlohmann/json.hpp>

namespace qn {
namespace {

using Json = nlohmann::ordered_json;

template <class T>
void put(Json& object, const char* key, const std::optional<T>& value) {
  if (value) object[key] = *value;
}

Json to_object(const DecoderTally& t) {
  Json object{{"bytes", t.bytes},
              {"noise_bytes", t.noise_bytes},
              {"lines", t.lines},
              {"readings", t.readings},
              {"quiet_lines", t.quiet_lines},
              {"half_lines", t.half_lines},
              {"bad_checksum", t.bad_checksum},
              {"no_checksum", t.no_checksum},
              {"unnamed_lines", t.unnamed_lines},
              {"not_understood", t.not_understood},
              {"too_long", t.too_long},
              {"cut_short", t.cut_short},
              {"missing_cells", t.missing_cells},
              {"impossible_cells", t.impossible_cells}};
  put(object, "first_bad_byte", t.first_bad_byte);
  return object;
}

Json to_object(const SourceClock& clock) {
  Json object{
      {"own_time", clock.has_own_time}, {"went_back", clock.went_back}, {"jumped", clock.jumped}};
  if (!clock.fit) return object;
  const ClockFit& fit = *clock.fit;
  object["drift_ppm"] = fit.drift * 1e6;
  object["drift_95_ppm"] = {fit.drift_95[0] * 1e6, fit.drift_95[1] * 1e6};
  object["offset_s"] = fit.offset_s;
  object["offset_sigma_s"] = fit.offset_sigma_s;
  object["delay_median_s"] = fit.delay_median_s;
  object["delay_95th_s"] = fit.delay_95_s;
  return object;
}

Json to_object(const SourceReport& source) {
  Json object{{"name", source.name},
              {"readings", source.readings},
              {"rate_Hz", source.rate_Hz},
              {"gaps", source.gaps},
              {"longest_gap_s", source.longest_gap_s}};
  if (source.field) {
    const bool counts = source.field_unit == FieldUnit::counts;
    object[counts ? "field_raw" : "field_uT"] = *source.field;
    object[counts ? "noise_raw" : "noise_uT"] = source.noise;
    object[counts ? "strength_raw" : "strength_uT"] = *source.strength;
  }
  put(object, "heading_deg", source.heading_deg);
  put(object, "heading_noise_deg", source.heading_noise_deg);
  put(object, "current_A", source.current_A);
  put(object, "roll_deg", source.roll_deg);
  put(object, "pitch_deg", source.pitch_deg);
  object["clock"] = to_object(source.clock);
  return object;
}

Json to_object(const LinkReport& link) {
  Json object{{"link", link.link},
              {"address", link.address},
              {"connected", link.connected},
              {"ended", link.ended},
              {"times_lost", link.times_lost},
              {"silent_s", link.silent_s},
              {"tally", to_object(link.tally)}};
  object["sources"] = Json::array();
  for (const SourceReport& source : link.sources) object["sources"].push_back(to_object(source));
  object["wrong"] = link.wrong;
  return object;
}

}  // namespace

std::string to_json(const LinksDocument& document) {
  Json json{{"schema", "quietnorth/links/1"}, {"seconds", document.seconds}};
  put(json, "utc_at_zero_s", document.utc_at_zero_s);
  if (document.earth) {
    json["earth"] = {{"H_uT", document.earth->horizontal_uT},
                     {"Z_uT", document.earth->down_uT},
                     {"F_uT", document.earth->total_uT()},
                     {"source", document.earth->source}};
  }
  json["links"] = Json::array();
  for (const LinkReport& link : document.links) json["links"].push_back(to_object(link));
  // Examples of bad lines hold whatever bytes came: replaced where they are no UTF-8.
  return json.dump(2, ' ', false, Json::error_handler_t::replace);
}

}  // namespace qn
