// SPDX-License-Identifier: Apache-2.0
#include "app/codec_swing_internal.h"

namespace qn {
namespace {

using Json = SwingJson;

Json told_letters(const SwingCoefficients& values, const SwingChange& change) {
  Json out = Json::object();
  for (std::size_t j = 0; j < 5; ++j) {
    out[std::string{"ABCDE"[j]}] =
        change.compared && change.told[j] ? Json(values[j]) : Json(nullptr);
  }
  return out;
}

Json change_json(const SwingChange& c) {
  return {{"name", c.name},
          {"loads", swing_text_or_null(c.loads)},
          {"compared", c.compared},
          {"why_not", swing_text_or_null(c.why_not)},
          {"before_deg", told_letters(c.before_deg, c)},
          {"after_deg", told_letters(c.after_deg, c)},
          {"change_deg", told_letters(c.change_deg, c)},
          {"change_half_95_deg", told_letters(c.change_half_95_deg, c)},
          {"worst_before_deg", c.compared ? Json(c.worst_before_deg) : Json(nullptr)},
          {"worst_before_95_deg", c.compared ? pair_json(c.worst_before_95_deg) : Json(nullptr)},
          {"worst_after_deg", c.compared ? Json(c.worst_after_deg) : Json(nullptr)},
          {"worst_after_95_deg", c.compared ? pair_json(c.worst_after_95_deg) : Json(nullptr)},
          {"state_before", to_word(c.before)},
          {"state_after", to_word(c.after)},
          {"sentence", c.sentence}};
}

Json part_json(const IronPart& part) { return {{"value", part.value}, {"sigma", part.sigma}}; }

Json field_json(const LocalField& field) {
  return {{"horizontal_uT", field.horizontal_uT},
          {"vertical_uT", field.down_uT},
          {"dip_deg", field.dip().in_deg()},
          {"source", field.source}};
}

}  // namespace

SwingJson swing_before(const SwingBefore& before) {
  Json out{{"stations", swing_source(before.source)}};
  out["compasses"] = Json::array();
  for (const SwingChange& c : before.comparison.compasses) {
    out["compasses"].push_back(change_json(c));
  }
  out["gone"] = before.comparison.gone;
  out["on_every_heading"] = before.comparison.on_every_heading;
  return out;
}

SwingJson swing_iron(const SwingIron& iron, const LocalField& here) {
  Json out{{"known", iron.known},
           {"why_not", swing_text_or_null(iron.why_not)},
           {"field", field_json(here)}};
  const auto put = [&](const char* key, const IronPart& part) {
    out[key] = iron.known ? part_json(part) : Json(nullptr);
  };
  put("ahead_uT", iron.ahead_uT);
  put("right_uT", iron.right_uT);
  put("soft_length", iron.soft_length);
  put("soft_cross", iron.soft_cross);
  put("soft_turn", iron.soft_turn);
  out["assumed_share"] = part_json(kAssumedShare);
  out["remarks"] = iron.remarks;
  return out;
}

SwingJson swing_forecast(const IronForecast& forecast, const SwingField& field) {
  Json out{{"known", forecast.known},
           {"why_not", swing_text_or_null(forecast.why_not)},
           {"place", field.there_place},
           {"field", field_json(*field.there)},
           {"all_hard", forecast.known ? Json(forecast.all_hard) : Json(nullptr)},
           {"all_soft", forecast.known ? Json(forecast.all_soft) : Json(nullptr)},
           {"worst_95_deg", forecast.known ? pair_json(forecast.worst_95_deg) : Json(nullptr)}};
  out["curve"] = Json::array();
  for (const ForecastPoint& p : forecast.points) {
    out["curve"].push_back({{"indicated_deg", p.indicated_deg},
                            {"here_deg", p.here_deg},
                            {"lo", p.lo_deg},
                            {"hi", p.hi_deg}});
  }
  out["remarks"] = forecast.remarks;
  out["verdict"] = verdict_json(forecast.verdict);
  return out;
}

}  // namespace qn
