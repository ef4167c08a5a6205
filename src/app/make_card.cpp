// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "app/solve_swing.h"
#include "vocab/text_parts.h"

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
  return {request.step_deg,
          request.a_removed,
          request.worksheet_rule ? CardRule::worksheet : CardRule::solve,
          std::nullopt,
          request.loads_are.value_or(""),
          {}};
}

std::optional<Error> check_card_request(const CardRequest& request) {
  if (auto e = check_word("--engine", request.engine, "running", "stopped")) return e;
  if (auto e = check_word("--radio", request.radio, "on", "off")) return e;
  return check_card_options({}, card_options_of(request));
}

Error no_loads(const char* option, const std::string& wanted, const std::string& why) {
  return {ErrorKind::OutOfRange, fmt::format("'{}' cannot be used for {}: {}", wanted, option, why),
          fmt::format("option {}", option),
          "one or two states of the column loads of the stations file: off,on or off,pitot",
          "leave the option out: off and the state that deviates most"};
}

Result<std::string> read_state(const SwingSolution& swing, const char* option,
                               const std::string& word) {
  const auto state = loads_state(word);
  if (!state) return no_loads(option, word, "it is no state of the loads");
  const bool read =
      std::any_of(swing.compasses.begin(), swing.compasses.end(), [&](const SwingCompass& c) {
        return c.loads == state.value() || (state.value() == "off" && c.loads.empty());
      });
  if (!read) return no_loads(option, word, "nothing was read in that state");
  return state;
}

/// States of the columns: off first, whatever the order they were asked for in, unless another is
/// to be the large one.
Result<std::vector<std::string>> wanted_columns(const SwingSolution& swing,
                                                const CardRequest& request) {
  std::vector<std::string> out;
  const auto parts =
      request.loads ? parts_of(*request.loads, ",") : std::vector<std::string_view>{};
  for (const std::string_view part : parts) {
    auto state = read_state(swing, "--loads", std::string{part});
    if (!state) return state.error();
    if (std::find(out.begin(), out.end(), state.value()) == out.end()) {
      out.push_back(std::move(state).value());
    }
  }
  if (out.size() > kMostCardColumns) {
    return no_loads("--loads", *request.loads, "a card has room for two columns");
  }
  std::string large = "off";
  if (request.large) {
    auto state = read_state(swing, "--large-column", *request.large);
    if (!state) return state.error();
    large = std::move(state).value();
    if (out.empty()) out = {large, "off"};
    if (std::find(out.begin(), out.end(), large) == out.end()) {
      return no_loads("--large-column", *request.large, "it is none of those of --loads");
    }
  }
  std::stable_partition(out.begin(), out.end(),
                        [&](const std::string& state) { return state == large; });
  return out;
}

/// errors  BadInput: the swing is older than the correction in the compass's own box
std::optional<Error> add_boxes(CardDocument& document) {
  for (const BoxNote& note : box_notes(document.swing)) {
    const auto card =
        std::find_if(document.cards.begin(), document.cards.end(),
                     [&](const CorrectionCard& c) { return c.compass == note.corrected.compass; });
    if (card == document.cards.end()) continue;
    if (note.swing == BoxSide::before) {
      return Error{
          ErrorKind::OutOfRange,
          fmt::format("the swing of {} is older than the correction of {} in its own box, "
                      "{}: its card is not of the compass as it is",
                      document.swing.source.day, note.corrected.compass, note.corrected.date),
          "option --box-corrected", "a swing made after that day",
          "swing again, or correct the day"};
    }
    card->remarks.insert(card->remarks.begin(),
                         fmt::format("Corrected in its own box on {}.", note.corrected.date));
    card->beside.push_back(note.sentence);
  }
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
  CardOptions options = card_options_of(request);
  CardDocument out;
  out.swing = std::move(swing);
  auto columns = wanted_columns(out.swing.swing, request);
  if (!columns) return columns.error();
  options.columns = std::move(columns).value();
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
  if (auto e = add_boxes(out)) return *e;
  return out;
}

}  // namespace qn
