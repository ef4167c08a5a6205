// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "app/solve_swing.h"
#include "app/swing_input_internal.h"
#include "vocab/letters.h"
#include "vocab/time.h"

namespace qn {
namespace {

Result<BoxCorrection> box_correction_of(const std::string& text,
                                        const std::vector<SwingReading>& readings) {
  const std::size_t equals = text.rfind('=');
  if (equals == std::string::npos || equals == 0) {
    return Error{ErrorKind::OutOfRange, fmt::format("'{}' names no compass and day", text),
                 "option --box-corrected", "NAME=DATE: a compass and a day such as 2026-05-10",
                 "for example --box-corrected remote=2026-05-10"};
  }
  const std::string name = text.substr(0, equals);
  const auto date = CalendarDate::parse(text.substr(equals + 1), "option --box-corrected");
  if (!date) return date.error();
  const auto known = std::find_if(readings.begin(), readings.end(), [&](const SwingReading& r) {
    return lower_case(r.compass) == lower_case(name);
  });
  if (known != readings.end()) return BoxCorrection{known->compass, date.value().to_iso()};
  return Error{ErrorKind::OutOfRange, fmt::format("no compass is called '{}'", name),
               "option --box-corrected", "a compass of the stations file, then = and the day",
               "correct the name"};
}

BoxSide side_of(const std::string& day, const std::string& date) {
  if (!CalendarDate::parse(day, "day")) return BoxSide::unknown;
  return day == date ? BoxSide::same_day : day < date ? BoxSide::before : BoxSide::after;
}

std::string swing_side_words(const BoxNote& note, const std::string& day) {
  switch (note.swing) {
    case BoxSide::after: return fmt::format("this swing of {} is after it.", day);
    case BoxSide::before:
      return fmt::format(
          "this swing of {} is older and shows the sensor as it was before; swing again.", day);
    case BoxSide::same_day:
      return "this swing is of the same day, and holds if it was made after it.";
    default:
      return "the day of this swing is not said (--day), so whether it is after it is not known.";
  }
}

std::string earlier_side_words(const BoxNote& note, const std::string& day) {
  switch (*note.earlier) {
    case BoxSide::before:
      return fmt::format(
          " The earlier swing of {} is before it: the change between the two holds "
          "what the box took off.",
          day);
    case BoxSide::after:
      return fmt::format(
          " The earlier swing of {} is after it too: the change between the two is "
          "not the box's.",
          day);
    case BoxSide::same_day:
      return " The earlier swing is of the day of the correction itself: which was first is not "
             "known.";
    default: return " The day of the earlier swing is not said (--before-day).";
  }
}

}  // namespace

std::string_view to_word(BoxSide side) {
  switch (side) {
    case BoxSide::before: return "before";
    case BoxSide::same_day: return "same day";
    case BoxSide::after: return "after";
    default: return "unknown";
  }
}

std::vector<BoxNote> box_notes(const SwingDocument& document) {
  std::vector<BoxNote> out;
  for (const BoxCorrection& corrected : document.source.box_corrected) {
    BoxNote note{corrected, side_of(document.source.day, corrected.date), std::nullopt, ""};
    note.sentence = fmt::format("{} was corrected inside its own box on {}: {}", corrected.compass,
                                corrected.date, swing_side_words(note, document.source.day));
    if (document.before) {
      note.earlier = side_of(document.before->source.day, corrected.date);
      note.sentence += earlier_side_words(note, document.before->source.day);
    }
    out.push_back(std::move(note));
  }
  return out;
}

std::optional<Error> take_box_corrections(const SwingRequest& request,
                                          const std::vector<SwingReading>& readings,
                                          SwingSource& source) {
  for (const std::string& text : request.box_corrected) {
    auto one = box_correction_of(text, readings);
    if (!one) return one.error();
    for (const BoxCorrection& other : source.box_corrected) {
      if (other.compass != one.value().compass) continue;
      return Error{ErrorKind::OutOfRange, fmt::format("two days are given for '{}'", other.compass),
                   "option --box-corrected",
                   "one day for each compass: that of the last correction",
                   "leave one of the two out"};
    }
    source.box_corrected.push_back(std::move(one).value());
  }
  return std::nullopt;
}

}  // namespace qn
