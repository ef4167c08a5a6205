// SPDX-License-Identifier: Apache-2.0
#include "server/dto_run.h"

#include <cmath>
#include <nlohmann/json.hpp>
#include <utility>

#include "app/link_requests.h"
#include "app/list_links.h"
#include "app/show_book.h"
#include "server/dto_keys_internal.h"

namespace qn {

using namespace dto;

namespace {

constexpr std::size_t kLeastKey = 8;

bool by_operator(run::EventKind kind) {
  using K = run::EventKind;
  return kind == K::tap || kind == K::not_yet || kind == K::no_such_device || kind == K::another ||
         kind == K::again || kind == K::pause || kind == K::resume || kind == K::stop ||
         kind == K::acknowledge || kind == K::reading;
}

}  // namespace

Result<RunAnswer> run_answer_from_json(const std::string& text) {
  RunAnswer answer;
  std::string kind;
  // Of use to whoever reads the journal of the browser, not to the run.
  std::optional<double> said_s, clock_error_s;
  const Keys keys = {{"key", text_key(answer.key)},
                     {"kind", text_key(kind)},
                     {"at_s", number_key(answer.at_s)},
                     {"said_s", number_key(said_s)},
                     {"clock_error_s", number_key(clock_error_s)},
                     {"device", text_key(answer.device)},
                     {"state", text_key(answer.state)},
                     {"number", number_key(answer.number)}};
  if (auto bad = put_keys(text, "RunAnswer", keys)) return *bad;
  const auto known = run::event_kind_from(kind);
  if (!known || !by_operator(*known)) {
    return wrong("kind", "found '" + kind.substr(0, 40) + "'", "a kind of RunAnswer in api.yaml");
  }
  answer.kind = *known;
  if (answer.key.size() < kLeastKey) {
    return wrong("key", "the answer cannot be told from others",
                 "8 to 64 characters, never the same for two answers");
  }
  return answer;
}

namespace {

/// The part of RunStart that is about a swing.
struct SwingStart {
  std::optional<double> stations;
  bool both_ways = false;
  std::vector<std::string> compasses;
  std::optional<std::string> from_link, loads;
  std::optional<double> hold_s, rounding_deg;

  Result<Done> into(RunSetup& setup) const {
    if (!(*stations >= 1.0 && *stations <= 360.0 && std::floor(*stations) == *stations)) {
      return wrong("swing", "that many stations cannot be", "8, 12, 16 or 24");
    }
    setup.procedure = RunSetup::Procedure::swing;
    SwingRunSetup& swing = setup.swing;
    swing.stations = static_cast<int>(*stations);
    swing.both_ways = both_ways;
    swing.from_link = from_link;
    swing.hold_s = hold_s;
    swing.request.rounding_deg = rounding_deg;
    for (const std::string& compass : compasses) {
      if (auto added = add_swing_compass(compass, swing); !added) return added.error();
    }
    if (!loads) return Done{};
    auto states = swing_loads_from(*loads);
    if (!states) return states.error();
    swing.loads = std::move(states).value();
    return Done{};
  }
};

}  // namespace

Result<RunSessionRequest> run_start_from_json(const std::string& text) {
  RunSessionRequest request;
  std::vector<std::string> links;
  DisturbanceRequest& analysis = request.run.setup.analysis;
  std::optional<double> turn;
  SwingStart swing;
  const Keys keys = {{"links", list_key(links)},
                     {"turn", number_key(turn)},
                     {"limit_deg", number_key(analysis.limit_deg)},
                     {"noise_uT", number_key(request.run.setup.noise_uT)},
                     {"at", text_key(analysis.at)},
                     {"on", text_key(analysis.on)},
                     {"horizontal_uT", number_key(analysis.horizontal_uT)},
                     {"vertical_uT", number_key(analysis.vertical_uT)},
                     {"aircraft_heading_deg", number_key(analysis.aircraft_heading_deg)},
                     {"swing", number_key(swing.stations)},
                     {"both_ways", truth_key(swing.both_ways)},
                     {"compasses", list_key(swing.compasses)},
                     {"from_link", text_key(swing.from_link)},
                     {"loads", text_key(swing.loads)},
                     {"hold_s", number_key(swing.hold_s)},
                     {"rounding_deg", number_key(swing.rounding_deg)},
                     {"go_on", truth_key(request.run.go_on)}};
  if (auto bad = put_keys(text, "RunStart", keys)) return *bad;
  // A swing that is read by people needs none.
  if (links.empty() && !request.run.go_on && !swing.stations) {
    return wrong("links", "no link is named", "one or more, as 'quietnorth link' takes them");
  }
  if (swing.stations) {
    if (auto put = swing.into(request.run.setup); !put) return put.error();
  } else if (turn) {
    if (!(*turn >= 4.0 && *turn <= 72.0 && std::floor(*turn) == *turn)) {
      return wrong("turn", "that many stations cannot be", "4 to 72");
    }
    request.run.setup.procedure = RunSetup::Procedure::sensor;
    request.run.setup.stations_deg = even_run_stations_deg(static_cast<std::size_t>(*turn));
  }
  auto parsed = link_requests(links, {});
  if (!parsed && !links.empty()) return parsed.error();
  if (!links.empty()) request.run.setup.links = std::move(parsed).value();
  request.run.links.typed_from_program = true;
  return request;
}

Result<std::string> typed_reading_from_json(const std::string& text) {
  std::string line;
  std::optional<double> link;  // there is one at most
  if (auto bad =
          put_keys(text, "TypedReading", {{"line", text_key(line)}, {"link", number_key(link)}})) {
    return *bad;
  }
  return line;
}

Result<std::string> book_json(const std::string& path, bool running) {
  const auto book = show_book(path);
  if (!book) return book.error();
  nlohmann::json runs = nlohmann::json::array();
  for (const RunRecord& run : book.value().runs) {
    runs.push_back({{"id", static_cast<std::int64_t>(run.id)},
                    {"procedure", run.head.procedure},
                    {"started_utc", run.head.started_utc},
                    {"can_go_on", !run.ended_s.has_value()}});
  }
  nlohmann::json ports = nlohmann::json::array();
  const LinkList links = list_links("/");
  for (const SerialPort& port : links.ports) {
    ports.push_back({{"address", port.path}, {"what", "serial port " + port.device}});
  }
  if (!links.sensors.empty()) {
    ports.push_back({{"address", "iio"}, {"what", "a sensor of this computer"}});
  }
  return nlohmann::json{{"name", book.value().name},
                        {"aircraft", book.value().head.aircraft},
                        {"devices", book.value().equipment.size()},
                        {"runs", runs},
                        {"ports", ports},
                        {"running", running}}
      .dump(-1, ' ', false, nlohmann::json::error_handler_t::replace);
}

}  // namespace qn
