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
                   {"cause", r.cause},
                   {"probability", r.probability},
                   {"what", r.what}});
  }
  return out;
}

namespace {

SwingJson rose_json(const SwingRoseSource& from) {
  const RoseUse& use = from.use;
  SwingJson out{
      {"file", from.name},
      {"sha256", from.sha256},
      {"directions_are", from.directions_true ? "true" : "magnetic"},
      {"off_deg", pair_json(use.off_deg)},
      {"mean_off_deg", use.mean_off_deg},
      {"mark_sigma_deg", use.mark_sigma_deg ? SwingJson(*use.mark_sigma_deg) : SwingJson()},
      {"placing_sigma_deg",
       use.station_sigma_given ? SwingJson() : SwingJson(use.placing_sigma_deg)},
      {"station_sigma_deg", use.station_sigma_deg},
      {"station_sigma_given", use.station_sigma_given},
      {"north_sigma_deg", use.north_sigma_deg ? SwingJson(*use.north_sigma_deg) : SwingJson()},
      {"north_sigma_given", use.north_sigma_given}};
  out["marks"] = SwingJson::array();
  for (const RoseMark& mark : use.marks) {
    out["marks"].push_back(
        {{"station_deg", mark.written_deg},
         {"direction_deg", mark.direction_deg},
         {"sigma_deg", mark.sigma_deg > 0.0 ? SwingJson(mark.sigma_deg) : SwingJson()}});
  }
  return out;
}

}  // namespace

SwingJson swing_box(const BoxNote& note) {
  return {{"date", note.corrected.date},
          {"swing_is", to_word(note.swing)},
          {"earlier_is", note.earlier ? SwingJson(to_word(*note.earlier)) : SwingJson()},
          {"sentence", note.sentence}};
}

SwingJson swing_loads_effect(const LoadsEffect& e) {
  return {{"compass", e.compass},
          {"loads", e.loads},
          {"names", loads_named(e.loads)},
          {"threshold_deg", e.threshold_deg},
          {"state", to_word(e.state)},
          {"worst_deviation_deg", e.worst_deviation_deg},
          {"worst_at_deg", e.worst_at_deg},
          {"worst_95_deg", pair_json(e.worst_95_deg)},
          {"change_deg", e.change_deg ? SwingJson(*e.change_deg) : SwingJson()},
          {"change_at_deg", e.change_deg ? SwingJson(e.change_at_deg) : SwingJson()},
          {"change_95_deg", e.change_deg ? pair_json(e.change_95_deg) : SwingJson()},
          {"takes_it_over", e.takes_it_over},
          {"which_unproven", e.which_unproven},
          {"sentence", e.sentence}};
}

SwingJson swing_source(const SwingSource& document) {
  return {{"file", document.stations_name},
          {"sha256", document.stations_sha256},
          {"readings", document.readings},
          {"left_out_deg", document.left_out_deg},
          {"stations_are", document.stations_true ? "true" : "magnetic"},
          {"variation_deg",
           document.variation_deg ? SwingJson(*document.variation_deg) : SwingJson(nullptr)},
          {"rose", document.rose ? rose_json(*document.rose) : SwingJson(nullptr)}};
}

std::string swing_dumped(const SwingJson& json) {
  return json.dump(1, ' ', false, SwingJson::error_handler_t::replace);
}

}  // namespace qn
