// SPDX-License-Identifier: Apache-2.0
#include "app/codec_swing.h"

#include <nlohmann/json.hpp>
#include <utility>

#include "app/codec_swing_internal.h"

namespace qn {
namespace {

using Json = SwingJson;

void add_coefficients(Json& out, const SwingCompass& compass) {
  static constexpr const char* kLetters[] = {"A", "B", "C", "D", "E"};
  for (const char* key : {"coefficients_deg", "sigma_deg", "coefficients_95_deg"}) {
    out[key] = Json::object();
  }
  for (std::size_t j = 0; j < 5; ++j) {
    const bool known = compass.solved && compass.supported[j];
    out["coefficients_deg"][kLetters[j]] =
        known ? Json(compass.curve.coefficients_deg[j]) : Json(nullptr);
    out["sigma_deg"][kLetters[j]] = known ? Json(compass.sigma_deg[j]) : Json(nullptr);
    out["coefficients_95_deg"][kLetters[j]] =
        known ? pair_json(compass.band_95_deg[j]) : Json(nullptr);
  }
  out["covariance"] = compass.solved ? Json(compass.covariance_deg2) : Json(nullptr);
}

Json means_json(const std::optional<SwingMeans>& means) {
  if (!means) return nullptr;
  Json coefficients = Json::object();
  for (std::size_t j = 0; j < 5; ++j) {
    coefficients[std::string(1, "ABCDE"[j])] =
        means->told[j] ? Json(means->coefficients_deg[j]) : Json(nullptr);
  }
  return {{"headings", means->headings},
          {"coefficients_deg", std::move(coefficients)},
          {"less_A_deg", means->less_a_deg}};
}

// How a tilted aircraft stood, and what each degree of that adds to B and C.
Json stance_json(const std::optional<SwingStance>& stance) {
  if (!stance) return nullptr;
  const auto by_tilt = [](const std::array<double, 4>& x) {
    return Json{
        {"B_by_pitch", x[0]}, {"B_by_roll", x[1]}, {"C_by_pitch", x[2]}, {"C_by_roll", x[3]}};
  };
  return {{"pitch_deg", stance->pitch_deg},
          {"roll_deg", stance->roll_deg},
          {"most_deg", stance->most_deg},
          {"deg_per_deg", by_tilt(stance->per_deg)},
          {"sigma_deg_per_deg", by_tilt(stance->sigma_per_deg)},
          {"B_sigma_deg", stance->b_sigma_deg},
          {"C_sigma_deg", stance->c_sigma_deg}};
}

void add_curve(Json& out, const SwingCompass& compass) {
  const bool solved = compass.solved;
  out["worst_deviation_deg"] = solved ? Json(compass.worst_deviation_deg) : Json(nullptr);
  out["worst_95_deg"] = solved ? pair_json(compass.worst_95_deg) : Json(nullptr);
  out["worst_at_deg"] = solved ? Json(compass.worst_at_deg) : Json(nullptr);
  out["curve"] = Json::array();
  for (const SwingPoint& p : compass.points) {
    out["curve"].push_back({{"indicated_deg", p.indicated_deg},
                            {"deviation_deg", p.deviation_deg},
                            {"lo", p.lo_deg},
                            {"hi", p.hi_deg}});
  }
}

Json turn_word(SwingTurn turn) {
  if (turn == SwingTurn::unknown) return nullptr;
  return turn == SwingTurn::clockwise ? "cw" : "ccw";
}

Json compass_json(const SwingCompass& compass) {
  Json out{{"name", compass.name}, {"loads", swing_text_or_null(compass.loads)}};
  add_coefficients(out, compass);
  add_curve(out, compass);
  out["rows"] = compass.rows;
  out["residuals_deg"] = compass.residuals_deg;
  out["by_means"] = means_json(compass.by_means);
  out["readings"] = Json::array();
  for (const SwingObserved& o : compass.observed) {
    out["readings"].push_back({{"station_deg", o.station_deg},
                               {"indicated_deg", o.indicated_deg},
                               {"deviation_deg", o.deviation_deg},
                               {"turn", turn_word(o.turn)},
                               {"used", o.used}});
  }
  out["gross"] = swing_doubts(compass.gross);
  out["gross_row"] = compass.gross.empty() ? Json(nullptr) : Json(compass.gross.front().row);
  out["suspects"] = swing_doubts(compass.suspects);
  out["hysteresis_deg"] = compass.hysteresis_deg ? Json(*compass.hysteresis_deg) : Json(nullptr);
  out["hysteresis_sigma_deg"] =
      compass.hysteresis_deg ? Json(compass.hysteresis_sigma_deg) : Json(nullptr);
  out["reading_sigma_deg"] = compass.solved ? Json(compass.reading_sigma_deg) : Json(nullptr);
  out["reading_sigma_is_own"] = compass.reading_sigma_is_own;
  out["noise_deg"] = compass.solved ? Json(compass.noise_deg) : Json(nullptr);
  out["stance"] = stance_json(compass.stance);
  out["model"] = {
      {"lack_of_fit_p", compass.lack_of_fit_p ? Json(*compass.lack_of_fit_p) : Json(nullptr)},
      {"exact", compass.exact()}};
  out["remarks"] = compass.remarks;
  out["story"] = compass.story;
  out["verdict"] = verdict_json(compass.verdict);
  return out;
}

Json loads_json(const SwingSolution& swing) {
  Json out = Json::array();
  for (const LoadsEffect& effect : swing.loads) out.push_back(swing_loads_effect(effect));
  return out;
}

Json box_json(const std::vector<BoxNote>& boxes, const std::string& compass) {
  for (const BoxNote& note : boxes) {
    if (note.corrected.compass == compass) return swing_box(note);
  }
  return nullptr;
}

}  // namespace

std::string to_json(const SwingDocument& document) {
  Json out{{"schema", "quietnorth/swing/1"},
           {"program_version", document.source.program_version},
           {"sentence", document.swing.sentence},
           {"stations", swing_source(document.source)},
           {"aircraft", document.source.aircraft},
           {"place", document.source.place},
           {"day", document.source.day}};
  const std::vector<BoxNote> boxes = box_notes(document);
  out["loads_effects"] = loads_json(document.swing);
  out["compasses"] = Json::array();
  for (std::size_t i = 0; i < document.swing.compasses.size(); ++i) {
    out["compasses"].push_back(compass_json(document.swing.compasses[i]));
    Json& last = out["compasses"].back();
    last["box_corrected"] = box_json(boxes, document.swing.compasses[i].name);
    last["iron"] = nullptr;
    last["forecast"] = nullptr;
    if (!document.field) continue;
    last["iron"] = swing_iron(document.field->iron[i], document.field->here);
    if (document.field->there) {
      last["forecast"] = swing_forecast(document.field->forecasts[i], *document.field);
    }
  }
  out["before"] = document.before ? swing_before(*document.before) : Json(nullptr);
  // For one compass at top level too, where a script looks first.
  if (out["compasses"].size() == 1) {
    const Json only = out["compasses"][0];
    for (const auto& [key, value] : only.items()) {
      if (!out.contains(key)) out[key] = value;
    }
  }
  out["how_read"] = document.source.how_read;
  out["assumptions"] = document.swing.assumptions;
  if (!out.contains("remarks")) out["remarks"] = Json::array();
  for (const std::string& remark : document.swing.remarks) out["remarks"].push_back(remark);
  return swing_dumped(out);
}

std::string to_json(const CardDocument& document) {
  Json out{{"schema", "quietnorth/card/1"},
           {"program_version", document.swing.source.program_version},
           {"stations", swing_source(document.swing.source)},
           {"aircraft", document.swing.source.aircraft},
           {"place", document.swing.source.place},
           {"day", document.swing.source.day},
           {"engine", swing_text_or_null(document.engine)},
           {"radio", swing_text_or_null(document.radio)},
           {"by", document.by},
           {"step_deg", document.step_deg},
           {"a_removed", document.a_removed},
           {"rule", document.worksheet_rule ? "worksheet" : "solve"}};
  const std::vector<BoxNote> boxes = box_notes(document.swing);
  out["loads_effects"] = loads_json(document.swing.swing);
  out["cards"] = Json::array();
  for (const CorrectionCard& card : document.cards) {
    Json rows = Json::array();
    for (const CardRow& row : card.rows) {
      Json steer = Json::array();
      for (const CardSteer& s : row.steer) {
        steer.push_back({{"steer_deg", s.steer_deg},
                         {"steer_95_deg", pair_json(s.steer_95_deg)},
                         {"deviation_deg", s.deviation_deg}});
      }
      rows.push_back({{"for_deg", row.for_deg}, {"steer", std::move(steer)}});
    }
    out["cards"].push_back({{"compass", card.compass},
                            {"columns", card.columns},
                            {"verdicts", card.verdicts},
                            {"box_corrected", box_json(boxes, card.compass)},
                            {"rows", std::move(rows)},
                            {"doubtful", card.doubtful},
                            {"departs", card.departs},
                            {"remarks", card.remarks}});
  }
  return swing_dumped(out);
}

}  // namespace qn
