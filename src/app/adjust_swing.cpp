// SPDX-License-Identifier: Apache-2.0
#include "app/adjust_swing.h"

#include <fmt/format.h>

#include <utility>

namespace qn {
namespace {

Result<AdjustRule> rule_of(const std::optional<std::string>& word) {
  if (!word || *word == "least-squares") return AdjustRule::least_squares;
  if (*word == "halving") return AdjustRule::halving;
  return Error{ErrorKind::OutOfRange, fmt::format("'{}' is no rule", *word), "option --rule",
               "least-squares (default) or halving",
               "halving is the rule of the trade: half of it off on the opposite heading"};
}

Error not_on_rose(const SwingRoseSource& from, double standing_deg) {
  return {ErrorKind::OutOfRange, fmt::format("{:g} is no mark of the rose", standing_deg),
          "option --standing-on",
          fmt::format("a mark of {}; the nearest is {:g}", from.name,
                      nearest_mark(from.rose, standing_deg).written_deg),
          "say what is written at the mark the aircraft stands on"};
}

}  // namespace

Result<AdjustDocument> adjust_swing_file(const AdjustRequest& request) {
  const auto rule = rule_of(request.rule);
  if (!rule) return rule.error();
  if (request.standing_deg && !(*request.standing_deg >= 0.0 && *request.standing_deg < 360.0)) {
    return Error{ErrorKind::OutOfRange, fmt::format("heading {:g}", *request.standing_deg),
                 "option --standing-on", "a heading from 0 to below 360 degrees",
                 "say the mark the aircraft stands on, in the same north as the stations"};
  }
  auto input = read_swing_input(request.swing);
  if (!input) return input.error();
  SwingAdjustOptions options{input.value().options, rule.value(), request.standing_deg,
                             request.mount_turns};
  const SwingSource& from = input.value().source;
  if (options.standing_deg && from.rose) {
    const RoseMark* mark = find_mark(from.rose->rose, *options.standing_deg);
    if (mark == nullptr) return not_on_rose(*from.rose, *options.standing_deg);
    options.standing_deg = mark->direction_deg;
  } else if (options.standing_deg && from.stations_true) {
    *options.standing_deg -= *from.variation_deg;
  }
  auto adjusted = adjust_swing(input.value().readings, options);
  if (!adjusted) return adjusted.error();
  return AdjustDocument{std::move(adjusted).value(), std::move(input.value().source)};
}

}  // namespace qn
