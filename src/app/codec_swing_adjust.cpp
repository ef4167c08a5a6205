// SPDX-License-Identifier: Apache-2.0
#include "app/adjust_swing.h"
#include "app/codec_swing_internal.h"

namespace qn {
namespace {

using Json = SwingJson;

Json letters_json(const SwingCoefficients& values) {
  static constexpr const char* kNames[] = {"A", "B", "C", "D", "E"};
  Json out = Json::object();
  for (std::size_t j = 0; j < 5; ++j) out[kNames[j]] = values[j];
  return out;
}

Json told_json(const std::array<bool, 5>& told) {
  static constexpr const char* kNames[] = {"A", "B", "C", "D", "E"};
  Json out = Json::object();
  for (std::size_t j = 0; j < 5; ++j) out[kNames[j]] = told[j];
  return out;
}

Json turns_json(const std::vector<AdjusterTurn>& turns) {
  Json out = Json::array();
  for (const AdjusterTurn& t : turns) {
    out.push_back({{"adjuster", std::string{t.adjuster}},
                   {"station_deg", t.station_deg},
                   {"here", t.here},
                   {"reads_deg", t.reads_deg},
                   {"set_deg", t.set_deg},
                   {"change_deg", t.change_deg}});
  }
  return out;
}

Json adjustment_json(const SwingAdjustment& a) {
  Json out{{"name", a.compass},
           {"loads", swing_text_or_null(a.loads)},
           {"sentence", a.sentence},
           {"turns", turns_json(a.turns)},
           {"read_next_deg", a.read_next_deg ? Json(*a.read_next_deg) : Json(nullptr)},
           {"why_read", swing_text_or_null(a.why_read)},
           {"now_deg", letters_json(a.now_deg)},
           {"now_sigma_deg", letters_json(a.now_sigma_deg)},
           {"told", told_json(a.told)},
           {"one_heading", a.one_heading},
           {"worst_now_deg", a.worst_now_deg},
           {"worst_now_95_deg", pair_json(a.worst_now_95_deg)},
           {"after_deg", letters_json(a.after_deg)},
           {"after_sigma_deg", letters_json(a.after_sigma_deg)},
           {"after_half_95_deg", letters_json(a.after_95_deg)},
           {"worst_after_deg", a.worst_after_deg},
           {"worst_after_95_deg", pair_json(a.worst_after_95_deg)},
           {"worst_after_at_deg", a.worst_after_at_deg},
           {"no_screw_deg", a.no_screw_deg}};
  out["left"] = Json::array();
  for (const DeviationLeft& left : a.left) {
    out["left"].push_back({{"indicated_deg", left.indicated_deg},
                           {"deviation_deg", left.deviation_deg},
                           {"lo", left.lo_deg},
                           {"hi", left.hi_deg}});
  }
  out["doubtful"] = swing_doubts(a.doubtful);
  out["remarks"] = a.remarks;
  out["verdict"] = verdict_json(a.verdict);
  return out;
}

}  // namespace

std::string to_json(const AdjustDocument& document) {
  const SwingSource& from = document.source;
  Json out{
      {"schema", "quietnorth/swing-adjust/1"},
      {"program_version", from.program_version},
      {"sentence", document.adjustments.sentence},
      {"stations", swing_source(from)},
      {"aircraft", from.aircraft},
      {"place", from.place},
      {"day", from.day},
      {"rule", document.adjustments.rule == AdjustRule::halving ? "halving" : "least-squares"}};
  out["compasses"] = Json::array();
  for (const SwingAdjustment& a : document.adjustments.compasses) {
    out["compasses"].push_back(adjustment_json(a));
  }
  out["how_read"] = from.how_read;
  out["assumptions"] = document.adjustments.assumptions;
  return swing_dumped(out);
}

}  // namespace qn
