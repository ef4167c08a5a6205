// SPDX-License-Identifier: Apache-2.0
#include "app/run_view.h"

#include <fmt/format.h>

#include <cmath>
#include <nlohmann/json.hpp>
#include <utility>

namespace qn {
namespace {

using Json = nlohmann::ordered_json;
using Phase = run::State::Phase;

std::string to_word(Phase phase) {
  switch (phase) {
    case Phase::safety: return "safety";
    case Phase::first_rest: return "first_rest";
    case Phase::caution: return "caution";
    case Phase::ask: return "ask";
    case Phase::wait: return "wait";
    case Phase::over: return "over";
  }
  return {};
}

std::string to_word(RunAnswerNews::State state) {
  switch (state) {
    case RunAnswerNews::State::working: return "working";
    case RunAnswerNews::State::done: return "done";
    case RunAnswerNews::State::failed: return "failed";
  }
  return {};
}

Json button_of(const std::optional<run::Answer>& answer) {
  if (!answer) return nullptr;
  return {{"label", answer->label},
          {"kind", run::to_word(answer->kind)},
          {"ago_s", answer->ago_s},
          {"device", answer->device},
          {"state", answer->state}};
}

Json to_object(const RunLink& link) {
  return {{"number", link.number},     {"address", link.address}, {"alive", link.alive},
          {"silent_s", link.silent_s}, {"rate_Hz", link.rate_Hz}, {"wrong", link.wrong},
          {"typed", link.typed}};
}

Json to_object(const RunAnswerNews& answer) {
  Json error = nullptr;
  if (answer.error) {
    error = {{"what", answer.error->what},
             {"where", answer.error->where},
             {"expected", answer.error->expected},
             {"remedy", answer.error->remedy}};
  }
  return {{"state", to_word(answer.state)},
          {"error", error},
          {"recording_id", answer.ids.recording},
          {"disturbance_id", answer.ids.disturbance},
          {"fit_id", answer.ids.fit},
          {"swing_id", answer.ids.swing},
          {"verdict", answer.verdict},
          {"sentence", answer.sentence},
          {"finding", answer.finding}};
}

/// Without what only the passing of time changes.
Json lasting(const RunView& view) {
  const run::Prompt& p = view.prompt;
  Json json{{"schema", "quietnorth/run/1"},
            {"run", view.run},
            {"procedure", view.procedure},
            {"aircraft", view.aircraft},
            {"started_utc", view.started_utc},
            {"phase", to_word(view.phase)},
            {"paused", view.paused},
            {"stopped", view.stopped},
            {"sentence", p.sentence},
            {"caution", p.caution},
            {"must_acknowledge", p.must_acknowledge},
            {"main", button_of(p.main)},
            {"second", button_of(p.second)},
            {"leave_out", button_of(p.leave_out)},
            {"members", p.members},
            {"held", p.held},
            {"noticed", p.noticed},
            {"next", p.next},
            {"device", p.device},
            {"state", p.state}};
  json["then"] = nullptr;
  if (p.then) {
    json["then"] = {{"sentence", p.then->sentence},
                    {"label", p.then->answer.label},
                    {"device", p.then->answer.device},
                    {"state", p.then->answer.state}};
  }
  json["number"] = nullptr;
  if (p.number) {
    json["number"] = {{"say", p.number->say},
                      {"device", p.number->device},
                      {"state", p.number->state},
                      {"by_link", p.number->by_link},
                      {"again", p.number->again}};
  }
  json["swing"] = view.swing ? Json::parse(to_json(*view.swing)) : Json(nullptr);
  json["step"] = p.step;
  json["steps"] = p.steps;
  json["done"] = view.done;
  json["since_s"] = view.since_s;
  json["asked_s"] = view.asked_s;
  json["wait_s"] = p.wait_s ? Json(*p.wait_s) : Json(nullptr);
  json["devices"] = Json::array();
  for (const auto& [name, states] : view.devices) {
    json["devices"].push_back({{"name", name}, {"states", states}});
  }
  json["answer"] = view.answer ? to_object(*view.answer) : Json(nullptr);
  return json;
}

std::string text_of(const Json& json) {
  return json.dump(-1, ' ', false, Json::error_handler_t::replace);
}

/// Changes when there is something new to be said.
std::string asked_about(const run::State& s) {
  return fmt::format("{} {} {} {} {} {} {:.1f}", s.at, s.act, static_cast<int>(s.phase), s.paused,
                     s.rest_asked, s.todo.size(), s.offered_at_s.value_or(-1.0));
}

std::string words_of(const run::Prompt& p) {
  std::string words;
  for (const std::string& part : {p.held, p.caution, p.sentence}) {
    if (!part.empty()) words += (words.empty() ? "" : " ") + part;
  }
  return words;
}

}  // namespace

void RunTeller::tell(const run::State& state, double now_s, RunView& view) {
  view.now_s = now_s;
  view.prompt = run::prompt_of(state, now_s);
  view.phase = state.phase;
  view.paused = state.paused;
  view.stopped = state.stopped;
  view.since_s = state.since_s;
  view.asked_s = state.asked_s;
  view.done.clear();
  for (const run::Todo& todo : state.todo) view.done.push_back(todo.done);
  if (std::string about = asked_about(state); about != asked_) {
    asked_ = std::move(about);
    view.say = words_of(view.prompt);
    ++view.say_number;
  }
  if (std::string shown = text_of(lasting(view)); shown != shown_) {
    shown_ = std::move(shown);
    ++view.version;
  }
}

std::string to_json(const RunView& view, bool may_operate) {
  Json json = lasting(view);
  json["version"] = view.version;
  json["now_s"] = view.now_s;
  json["say"] = view.say;
  json["say_number"] = view.say_number;
  json["least_left_s"] = view.prompt.least_left_s;
  json["most_left_s"] = view.prompt.most_left_s;
  json["links"] = Json::array();
  for (const RunLink& link : view.links) json["links"].push_back(to_object(link));
  json["kept_until_s"] = view.kept_until_s;
  json["you"] = may_operate ? "operate" : "look_on";
  return text_of(json);
}

std::string to_json(const LiveTrace& trace) {
  // For a drawing some 300 points high: what nobody can see is not sent ten times a second.
  const auto short_number = [](double value) { return std::round(value * 1e4) / 1e4; };
  Json json{{"to_s", short_number(trace.to_s)}};
  json["time_s"] = Json::array();
  for (const double time_s : trace.time_s) json["time_s"].push_back(short_number(time_s));
  json["field_uT"] = Json::array();
  for (std::size_t axis = 0; axis < 3; ++axis) {
    Json values = Json::array();
    for (const Vector3& field : trace.field_uT) {
      values.push_back(short_number(field[axis]));
    }
    json["field_uT"].push_back(std::move(values));
  }
  return text_of(json);
}

}  // namespace qn
