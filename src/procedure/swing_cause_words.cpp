// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <optional>
#include <utility>

#include "procedure/swapped_digits_internal.h"
#include "procedure/swing_cause_words_internal.h"
#include "procedure/swing_compass_internal.h"
#include "vocab/heading.h"

namespace qn {
namespace {

// A cause that comes as near as this to what was foretold explains the reading.
constexpr double kNear_deg = 1.5;
// A reading beside lags when it does so by this many times the scatter.
constexpr double kLags = 2.0;
constexpr const char* kSwap = "digits swapped";
constexpr const char* kSticks = "card sticks";

double apart_deg(double a_deg, double b_deg) { return std::fabs(wrap_180_deg(a_deg - b_deg)); }

/// What it would be with two digits beside each other changed about, nearest to what was foretold.
std::optional<double> swapped_back(const DoubtfulReading& reading) {
  const int whole = static_cast<int>(std::lround(reading.indicated_deg)) % 360;
  std::optional<double> best;
  for (const int number : with_digits_swapped(whole, 360)) {
    if (!best || apart_deg(number, reading.expected_deg) < apart_deg(*best, reading.expected_deg)) {
      best = number;
    }
  }
  return best;
}

/// How far the cause it has leaves it from what was foretold; nothing for one that is no number.
std::optional<double> left_by_cause(const DoubtfulReading& reading) {
  const double off = apart_deg(reading.indicated_deg, reading.expected_deg);
  if (reading.likely == "misread by 10") return std::fabs(off - 10.0);
  if (reading.likely == "misread by 30") return std::fabs(off - 30.0);
  if (reading.likely == "no pattern") return off;
  return std::nullopt;
}

struct Beside {
  std::size_t at = 0;
  double travel = 0.0;  ///< +1 clockwise, -1 the other way, from the mark before to the one after
};

/// Marks read before and after in the same turn, in the order of the file.
std::vector<Beside> marks_beside_in_turn(const SwingCompass& c, std::size_t at) {
  std::vector<Beside> out;
  const SwingTurn turn = c.observed[at].turn;
  for (const int step : {-1, 1}) {
    const auto next = static_cast<std::ptrdiff_t>(at) + step;
    if (next < 0 || next >= static_cast<std::ptrdiff_t>(c.observed.size())) continue;
    const SwingObserved& other = c.observed[static_cast<std::size_t>(next)];
    const double way = step * wrap_180_deg(other.station_deg - c.observed[at].station_deg);
    if (other.turn != turn || way == 0.0) continue;
    out.push_back({static_cast<std::size_t>(next), way > 0.0 ? 1.0 : -1.0});
  }
  return out;
}

/// Deviation is station less indicated: what lags behind a clockwise turn shows too little.
double lag_of(const SwingCompass& c, const Beside& beside) {
  return beside.travel * c.residuals_deg[beside.at];
}

}  // namespace

void refine_cause(DoubtfulReading& reading, const SwingCompass& c, double scatter_deg) {
  const auto here = std::find(c.rows.begin(), c.rows.end(), reading.row);
  if (here == c.rows.end() || c.residuals_deg.size() != c.rows.size()) return;
  const auto at = static_cast<std::size_t>(here - c.rows.begin());
  const auto beside = marks_beside_in_turn(c, at);
  const auto lagging = std::find_if(beside.begin(), beside.end(), [&](const Beside& b) {
    return b.travel * c.residuals_deg[at] > 0.0 && lag_of(c, b) > kLags * scatter_deg;
  });
  if (lagging != beside.end()) {
    reading.likely = kSticks;
    reading.beside =
        fmt::format("{} lags in the direction of turning too, by {:.0f} deg",
                    swing_heading_text(c.observed[lagging->at].station_deg), lag_of(c, *lagging));
    return;
  }
  const auto left = left_by_cause(reading);
  const auto swapped = swapped_back(reading);
  if (left && swapped) {
    const double by_swap = apart_deg(*swapped, reading.expected_deg);
    if (by_swap <= std::max(kNear_deg, scatter_deg) && by_swap <= *left) reading.likely = kSwap;
  }
  for (const Beside& b : beside) {
    const double before_deg = c.observed[b.at].indicated_deg;
    if (b.at > at || b.travel * c.residuals_deg[at] <= 0.0) continue;
    if (apart_deg(before_deg, reading.indicated_deg) > std::max(kNear_deg, scatter_deg)) continue;
    reading.beside = fmt::format("or the card stuck, for on {} before it showed {}",
                                 swing_heading_text(c.observed[b.at].station_deg),
                                 swing_heading_text(before_deg));
  }
}

std::string cause_words(const DoubtfulReading& reading) {
  static const std::pair<const char*, const char*> kWords[] = {
      {"no pattern",
       "a slip of no kind we know (not by 10 or 30, no digits swapped, not the next "
       "mark, no sign, not the other end)"},
      {"misread", "misread"},
      {"other station", "the aircraft stood on another mark"},
      {"sign", "the deviation added instead of taken off, or the other way (sign)"},
      {"reciprocal", "read at the wrong end (reciprocal)"},
      {kSticks, "the card sticks"}};
  std::string out = reading.likely;
  for (const auto& [likely, words] : kWords) {
    if (reading.likely == likely) out = words;
  }
  if (reading.likely == kSwap) {
    const auto back = swapped_back(reading);
    out = back ? fmt::format("two digits swapped, {} for {}",
                             swing_heading_text(reading.indicated_deg), swing_heading_text(*back))
               : std::string{"two digits swapped"};
  }
  if (reading.likely.rfind("misread by", 0) == 0) out += " deg";
  return reading.beside.empty() ? out : out + "; " + reading.beside;
}

}  // namespace qn
