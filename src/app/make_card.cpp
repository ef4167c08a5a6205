// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "app/solve_swing.h"

namespace qn {
namespace {

std::optional<Error> check_word(const char* option, const std::optional<std::string>& word,
                                const char* one, const char* other) {
  if (!word || *word == one || *word == other) return std::nullopt;
  return Error{ErrorKind::OutOfRange, fmt::format("'{}' cannot be used for {}", *word, option),
               fmt::format("option {}", option), fmt::format("{} or {}", one, other),
               "leave the option out to fill it in by hand"};
}

CardOptions card_options_of(const CardRequest& request) {
  return {request.step_deg, request.a_removed,
          request.worksheet_rule ? CardRule::worksheet : CardRule::solve, std::nullopt,
          request.loads_are.value_or("")};
}

std::optional<Error> check_card_request(const CardRequest& request) {
  if (auto e = check_word("--engine", request.engine, "running", "stopped")) return e;
  if (auto e = check_word("--radio", request.radio, "on", "off")) return e;
  return check_card_options({}, card_options_of(request));
}

/// Keeps the columns that were asked for, in their order.
std::optional<Error> choose_loads(SwingSolution& swing, const std::string& wanted) {
  if (wanted != "off" && wanted != "on" && wanted != "off,on" && wanted != "on,off") {
    return Error{ErrorKind::OutOfRange, fmt::format("'{}' cannot be used for --loads", wanted),
                 "option --loads", "off, on or off,on",
                 "leave the option out for every state that was read"};
  }
  std::vector<SwingCompass> kept;
  for (const std::string word : {"off", "on"}) {
    const std::string state = wanted.rfind("on", 0) == 0 ? (word == "off" ? "on" : "off") : word;
    if (wanted.find(',') == std::string::npos && state != wanted) continue;
    for (SwingCompass& c : swing.compasses) {
      if (c.loads == state) kept.push_back(c);
    }
  }
  if (kept.empty()) {
    return Error{ErrorKind::OutOfRange, fmt::format("nothing was read with loads {}", wanted),
                 "option --loads", "a state in the column loads of the stations file",
                 "leave the option out for every state that was read"};
  }
  swing.compasses = std::move(kept);
  return std::nullopt;
}

}  // namespace

Result<CardDocument> make_card_document(const CardRequest& request) {
  // Its own options first: a wrong one does not wait for the readings.
  if (auto e = check_card_request(request)) return *e;
  auto swing = solve_swing_file(request.swing);
  if (!swing) return swing.error();
  return make_card_document(std::move(swing).value(), request);
}

Result<CardDocument> make_card_document(SwingDocument swing, const CardRequest& request) {
  if (auto e = check_card_request(request)) return *e;
  const CardOptions options = card_options_of(request);
  CardDocument out;
  out.swing = std::move(swing);
  if (request.loads) {
    if (auto e = choose_loads(out.swing.swing, *request.loads)) return *e;
  }
  out.cards = make_cards(out.swing.swing, options);
  if (out.cards.empty()) {
    const Verdict& why = out.swing.swing.compasses.front().verdict;
    return Error{ErrorKind::BadInput, "no card can be made: " + why.because,
                 out.swing.source.stations_name,
                 "a compass that was read on three headings or more", why.do_next};
  }
  out.step_deg = request.step_deg;
  out.a_removed = request.a_removed;
  out.worksheet_rule = request.worksheet_rule;
  out.engine = request.engine.value_or("");
  out.radio = request.radio.value_or("");
  out.by = request.by;
  if (!request.place.empty()) out.swing.source.place = request.place;
  if (!request.day.empty()) out.swing.source.day = request.day;
  return out;
}

}  // namespace qn
