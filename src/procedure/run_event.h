// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <string_view>

namespace qn::run {

/// What can happen in a run. The state of a run follows from these alone, in their order.
enum class EventKind {
  // by the operator
  tap,             ///< what was asked for is done; `at_s` is when
  not_yet,         ///< it is not done, or what was offered was not it
  no_such_device,  ///< the aircraft has none of what was asked for, or cannot stand on that mark
  another,         ///< `device` (and `state`) was worked in its place, at `at_s`
  again,           ///< this visit, or the last one, shall be repeated later
  pause,
  resume,
  stop,
  acknowledge,  ///< the caution was read
  reading,      ///< what `device` showed there: `number`; by a link: the program, with `sigma`
  // by the program, out of the samples
  reached,   ///< time has come this far: nothing else happened
  held,      ///< the present wait is long enough; `why`
  visit,     ///< a visit is over: what it is worth, and whether the field moved with it
  seen,      ///< the field moved at `at_s` without a mark
  drifting,  ///< the rest field wanders too fast to tell a tenth of the limit
  calm,      ///< it no longer does
  gap,       ///< samples are missing before this moment
  doubt,     ///< that reading of `device` does not fit the others, `number` would
  wanted,    ///< one more visit of `device` and `state` is needed
  weighed,   ///< what the readings so far lead to has been said
};
std::string_view to_word(EventKind kind);
std::optional<EventKind> event_kind_from(std::string_view word);

/// Why a wait is over. Never anything that was read: only times and widths.
enum class HeldWhy {
  rested,         ///< the rest of the plan is over
  narrow,         ///< the 95 % half-width is, or with the planned repeats will be, a tenth of the
                  ///< limit
  device_limit,   ///< the device may not stay away from its reference longer
  no_more_to_win  ///< more time hardly narrows the band
};
std::string_view to_word(HeldWhy why);
std::optional<HeldWhy> held_why_from(std::string_view word);

/// One entry of the journal (docs/formats/run-journal.md). Numbers that a kind does not need are 0.
struct Event {
  double time_s = 0.0;  ///< of the recording, when it was said
  EventKind kind = EventKind::reached;
  double at_s = 0.0;  ///< the moment that is meant; never after time_s
  /// Of `another`: what was worked in its place. Of a tap, and of `no_such_device`: what it is
  /// meant for, or empty; one for something that is no longer asked for changes nothing.
  std::string device;
  std::string state;  ///< of `another` empty: its working state
  std::string key;    ///< the same key twice is one event; empty: none
  HeldWhy why = HeldWhy::rested;
  double information = 0.0;  ///< visit: 1 / variance of one component of its field, 1 / uT^2
  bool moved = false;        ///< visit: the field moved clearly between rest and hold
  double number = 0.0;       ///< reading: degrees as read; doubt: what the other readings foretell
  double sigma = 0.0;        ///< reading by a link: of its mean, degrees; 0: read by a person
  double R_uT2_s = 0.0;      ///< visit, drifting, calm: noise as learnt, for going on after a crash
  double q_uT2_per_s = 0.0;  ///< likewise
};

/// "Now", and "so many seconds ago".
Event tap_at(double time_s, double ago_s = 0.0, std::string key = {});
Event said(EventKind kind, double time_s, std::string key = {});

}  // namespace qn::run
