// SPDX-License-Identifier: Apache-2.0
#include "cli/run_answers.h"

#include <fmt/format.h>

#include <cmath>
#include <cstdlib>

#include "cli/folded_text.h"

namespace qn {
namespace {

using run::EventKind;

Error not_understood(const std::string& line, const std::string& what) {
  return {ErrorKind::OutOfRange, what, "typed '" + line.substr(0, 60) + "'",
          "Enter, 2, ago SECONDS, no, none, again, did DEVICE = STATE, pause, go on, stop, "
          "read NUMBER",
          "type one of these; nothing was changed"};
}

std::string trimmed(const std::string& text) {
  const auto from = text.find_first_not_of(" \t\r");
  if (from == std::string::npos) return {};
  return text.substr(from, text.find_last_not_of(" \t\r") - from + 1);
}

RunAnswer of(const run::Answer& button, double now_s) {
  return {"", button.kind, now_s - button.ago_s, button.device, button.state};
}

/// What follows a word and a blank; nothing when the line does not begin with it.
std::optional<std::string> after(const std::string& line, const std::string& word) {
  if (line.rfind(word + " ", 0) != 0) return std::nullopt;
  return trimmed(line.substr(word.size()));
}

std::optional<EventKind> plain_word(const std::string& line) {
  if (line == "no") return EventKind::not_yet;
  if (line == "none") return EventKind::no_such_device;
  if (line == "again") return EventKind::again;
  if (line == "pause") return EventKind::pause;
  if (line == "go on") return EventKind::resume;
  if (line == "stop") return EventKind::stop;
  return std::nullopt;
}

std::string duration(double seconds) {
  return seconds < 90.0 ? fmt::format("{:.0f} s", seconds)
                        : fmt::format("{:.0f} min", seconds / 60);
}

}  // namespace

namespace {

/// A number for what is asked; "standby 137" names the compass.
std::optional<RunAnswer> reading_of(const std::string& line, const run::Prompt& p, double now_s) {
  if (!p.number) return std::nullopt;
  const std::size_t blank = line.find_last_of(" \t");
  const std::string figures = blank == std::string::npos ? line : line.substr(blank + 1);
  char* end = nullptr;
  const double number = std::strtod(figures.c_str(), &end);
  if (figures.empty() || *end != '\0' || !(figures[0] >= '0' && figures[0] <= '9')) {
    return std::nullopt;
  }
  RunAnswer answer{"", EventKind::reading, now_s, p.number->device, p.number->state, number};
  if (blank != std::string::npos) {
    // Of another compass: its question on this visit, or its last reading, which it mends.
    answer.device = trimmed(line.substr(0, blank));
    if (answer.device == "ago" || answer.device.rfind("did", 0) == 0) return std::nullopt;
    if (answer.device != p.number->device) answer.state.clear();
  }
  return answer;
}

}  // namespace

Result<TypedAnswer> typed_answer(const std::string& typed, const RunView& view, double now_s) {
  const std::string line = trimmed(typed);
  const run::Prompt& p = view.prompt;
  TypedAnswer out;
  if (auto number = reading_of(line, p, now_s)) {
    out.answer = std::move(number);
  } else if (line.empty() || line == "1") {
    if (!p.main) return not_understood(line, "nothing is asked for at present");
    out.answer = of(*p.main, now_s);
  } else if (line == "2") {
    if (!p.second) return not_understood(line, "there is no second answer at present");
    out.answer = of(*p.second, now_s);
  } else if (line == "none" && p.leave_out) {
    out.answer = of(*p.leave_out, now_s);
  } else if (const auto kind = plain_word(line)) {
    out.answer = RunAnswer{"", *kind, now_s, {}, {}};
  } else if (const auto ago = after(line, "ago")) {
    char* end = nullptr;
    const double seconds = std::strtod(ago->c_str(), &end);
    if (*end != '\0' || !(seconds >= 0.0 && seconds <= 60.0)) {
      return not_understood(line, "0 to 60 seconds ago can be said");
    }
    if (!p.main || p.main->kind != EventKind::tap) {
      return not_understood(line, "nothing is asked for at present");
    }
    out.answer = of(*p.main, now_s);
    out.answer->at_s = now_s - seconds;
  } else if (const auto did = after(line, "did")) {
    const std::size_t equals = did->find('=');
    out.answer = RunAnswer{"", EventKind::another, now_s, trimmed(did->substr(0, equals)), {}};
    if (equals != std::string::npos) out.answer->state = trimmed(did->substr(equals + 1));
  } else if (const auto reading = after(line, "read")) {
    out.reading = *reading;
  } else {
    return not_understood(line, "nobody knows this word");
  }
  return out;
}

std::string prompt_text(const RunView& view) {
  const run::Prompt& p = view.prompt;
  std::string text =
      fmt::format("\n[{}] step {} of {}", run::clock_text(view.now_s), p.step, p.steps);
  if (!p.over) {
    text += fmt::format(", about {} to {} left", duration(p.least_left_s), duration(p.most_left_s));
  }
  text += "\n";
  if (!p.held.empty()) text += folded(p.held) + "\n";
  if (!p.caution.empty()) text += folded("Caution: " + p.caution) + "\n";
  text += folded(p.sentence) + "\n";
  for (const std::string& member : p.members) text += "    " + member + "\n";
  if (!p.noticed.empty()) text += folded("Noticed: " + p.noticed) + "\n";
  if (p.number) text += fmt::format("  NUMBER {}\n", p.number->say);
  if (p.main) text += fmt::format("  Enter  {}\n", p.main->label);
  if (p.leave_out) text += fmt::format("  none   {}\n", p.leave_out->label);
  // Where a number is asked for, 2 is one.
  if (p.second)
    text += fmt::format("  {:<6} {}\n", p.number && !p.main ? "no" : "2", p.second->label);
  return text;
}

}  // namespace qn
