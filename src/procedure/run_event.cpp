// SPDX-License-Identifier: Apache-2.0
#include "procedure/run_event.h"

#include <array>
#include <utility>

namespace qn::run {
namespace {

template <class Kind, std::size_t N>
using Words = std::array<std::pair<Kind, std::string_view>, N>;

constexpr Words<EventKind, 20> kKinds = {{{EventKind::tap, "tap"},
                                          {EventKind::not_yet, "not_yet"},
                                          {EventKind::no_such_device, "no_such_device"},
                                          {EventKind::another, "another"},
                                          {EventKind::again, "again"},
                                          {EventKind::pause, "pause"},
                                          {EventKind::resume, "resume"},
                                          {EventKind::stop, "stop"},
                                          {EventKind::acknowledge, "acknowledge"},
                                          {EventKind::reached, "reached"},
                                          {EventKind::held, "held"},
                                          {EventKind::visit, "visit"},
                                          {EventKind::seen, "seen"},
                                          {EventKind::drifting, "drifting"},
                                          {EventKind::calm, "calm"},
                                          {EventKind::gap, "gap"},
                                          {EventKind::reading, "reading"},
                                          {EventKind::doubt, "doubt"},
                                          {EventKind::wanted, "wanted"},
                                          {EventKind::weighed, "weighed"}}};
constexpr Words<HeldWhy, 4> kWhys = {{{HeldWhy::rested, "rested"},
                                      {HeldWhy::narrow, "narrow"},
                                      {HeldWhy::device_limit, "device_limit"},
                                      {HeldWhy::no_more_to_win, "no_more_to_win"}}};

template <class Kind, std::size_t N>
std::string_view word_of(const Words<Kind, N>& words, Kind kind) {
  for (const auto& [k, word] : words) {
    if (k == kind) return word;
  }
  return {};
}

template <class Kind, std::size_t N>
std::optional<Kind> kind_of(const Words<Kind, N>& words, std::string_view word) {
  for (const auto& [k, w] : words) {
    if (w == word) return k;
  }
  return std::nullopt;
}

}  // namespace

std::string_view to_word(EventKind kind) { return word_of(kKinds, kind); }
std::optional<EventKind> event_kind_from(std::string_view word) { return kind_of(kKinds, word); }
std::string_view to_word(HeldWhy why) { return word_of(kWhys, why); }
std::optional<HeldWhy> held_why_from(std::string_view word) { return kind_of(kWhys, word); }

Event tap_at(double time_s, double ago_s, std::string key) {
  Event event = said(EventKind::tap, time_s, std::move(key));
  event.at_s = time_s - ago_s;
  return event;
}

Event said(EventKind kind, double time_s, std::string key) {
  Event event;
  event.time_s = time_s;
  event.at_s = time_s;
  event.kind = kind;
  event.key = std::move(key);
  return event;
}

}  // namespace qn::run
