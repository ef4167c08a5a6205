// SPDX-License-Identifier: Apache-2.0
#include "app/solve_swing.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>

namespace qn {
namespace {

std::optional<Error> check_unturned(const SwingInput& input) {
  for (const SwingReading& r : input.readings) {
    if (!std::isfinite(r.set_deg)) continue;
    return Error{ErrorKind::BadInput,
                 "an adjuster was turned on the way (column set_deg), so these readings are of two "
                 "deviation curves",
                 fmt::format("{}, row {}", input.source.stations_name, r.row + 1),
                 "readings between which no adjuster was turned",
                 "use `swing adjust` with this file, and put the readings after the last turn into "
                 "a file of their own for `swing solve` and `card`"};
  }
  return std::nullopt;
}

}  // namespace

Result<SwingDocument> solve_swing_file(const SwingRequest& request) {
  auto input = read_swing_input(request);
  if (!input) return input.error();
  if (auto wrong = check_unturned(input.value())) return *wrong;
  auto swing = solve_swing(input.value().readings, input.value().options);
  if (!swing) return swing.error();
  return SwingDocument{std::move(swing).value(), std::move(input.value().source)};
}

bool every_verdict_within(const SwingSolution& swing) {
  return std::all_of(swing.compasses.begin(), swing.compasses.end(),
                     [](const SwingCompass& c) { return c.verdict.state == VerdictState::within; });
}

}  // namespace qn
