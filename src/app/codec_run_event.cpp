// SPDX-License-Identifier: Apache-2.0
#include "app/codec_run_event.h"

#include <fmt/format.h>

#include <nlohmann/json.hpp>

namespace qn {
namespace {

using Json = nlohmann::ordered_json;
using run::EventKind;

bool has_moment(EventKind kind) {
  return kind == EventKind::tap || kind == EventKind::another || kind == EventKind::seen;
}

bool has_noise(EventKind kind) {
  return kind == EventKind::visit || kind == EventKind::drifting || kind == EventKind::calm;
}

bool has_number(EventKind kind) { return kind == EventKind::reading || kind == EventKind::doubt; }

Error damaged(const RunEvent& record, const std::string& what) {
  return {ErrorKind::Corrupt, what,
          fmt::format("the run's entry '{}' at {:.3f} s", record.kind, record.time_s),
          "an entry as docs/formats/run-journal.md has it",
          "the recording is whole: export it and analyse it with its marks"};
}

}  // namespace

RunEvent to_record(const run::Event& event) {
  Json payload = Json::object();
  if (has_moment(event.kind)) payload["at_s"] = event.at_s;
  if (!event.device.empty()) payload["device"] = event.device;
  if (!event.state.empty()) payload["state"] = event.state;
  if (has_number(event.kind)) payload["number"] = event.number;
  if (event.sigma > 0.0) payload["sigma"] = event.sigma;
  if (event.kind == EventKind::held) payload["why"] = to_word(event.why);
  if (event.kind == EventKind::visit) {
    payload["information"] = event.information;
    payload["moved"] = event.moved;
  }
  if (has_noise(event.kind)) {
    payload["R_uT2_s"] = event.R_uT2_s;
    payload["q_uT2_per_s"] = event.q_uT2_per_s;
  }
  return {event.time_s, std::string{to_word(event.kind)},
          payload.dump(-1, ' ', false, Json::error_handler_t::replace), event.key};
}

Result<run::Event> run_event_from(const RunEvent& record) {
  const auto kind = run::event_kind_from(record.kind);
  if (!kind) return damaged(record, "nobody knows what this entry means");
  run::Event event = run::said(*kind, record.time_s, record.key);
  try {
    const Json payload = Json::parse(record.payload);
    event.at_s = has_moment(*kind) ? payload.at("at_s").get<double>() : 0.0;
    event.device = payload.value("device", std::string{});
    event.state = payload.value("state", std::string{});
    if (has_number(*kind)) event.number = payload.at("number").get<double>();
    event.sigma = payload.value("sigma", 0.0);
    if (*kind == EventKind::held) {
      const auto why = run::held_why_from(payload.at("why").get<std::string>());
      if (!why) return damaged(record, "nobody knows why it was held");
      event.why = *why;
    }
    if (*kind == EventKind::visit) {
      event.information = payload.at("information").get<double>();
      event.moved = payload.at("moved").get<bool>();
    }
    if (has_noise(*kind)) {
      event.R_uT2_s = payload.at("R_uT2_s").get<double>();
      event.q_uT2_per_s = payload.at("q_uT2_per_s").get<double>();
    }
  } catch (const Json::exception& trouble) {
    return damaged(record, fmt::format("the entry cannot be read: {}", trouble.what()));
  }
  return event;
}

}  // namespace qn
