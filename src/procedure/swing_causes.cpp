// SPDX-License-Identifier: Apache-2.0
#include <cmath>

#include "procedure/swapped_digits_internal.h"
#include "procedure/swing_gross_internal.h"
#include "vocab/heading.h"

namespace qn {
namespace {

// Shares of the causes among wrong readings: our own opinion; docs/math/swing.md prints them.
constexpr double kMisreadTen = 0.12;     // each way
constexpr double kMisreadThirty = 0.06;  // each way
constexpr double kSwapped = 0.10;
constexpr double kStationBeside = 0.07;  // each side
constexpr double kSign = 0.08;
constexpr double kReciprocal = 0.08;
// A deviation so small that its sign does not matter.
constexpr double kNoSign_deg = 3.0;

void add_swaps(const SwingRow& row, std::vector<GrossCause>& causes) {
  const auto whole = static_cast<int>(std::lround(row.indicated_deg)) % 360;
  for (const int swapped : with_digits_swapped(whole, 360)) {
    causes.push_back({"digits swapped", 0.5 * kSwapped, static_cast<double>(swapped - whole)});
  }
}

}  // namespace

std::vector<GrossCause> causes_of(const SwingRow& row, double expected_deg,
                                  const std::vector<double>& neighbours_deg) {
  std::vector<GrossCause> causes;
  for (const double sign : {-1.0, 1.0}) {
    causes.push_back({"misread by 10", kMisreadTen, sign * 10.0});
    causes.push_back({"misread by 30", kMisreadThirty, sign * 30.0});
  }
  add_swaps(row, causes);
  for (const double neighbour_deg : neighbours_deg) {
    causes.push_back(
        {qn::kOtherStation, kStationBeside, wrap_180_deg(expected_deg - neighbour_deg)});
  }
  const double deviation_deg = wrap_180_deg(row.station_deg - row.indicated_deg);
  if (std::fabs(deviation_deg) > kNoSign_deg) {
    causes.push_back({"sign", kSign, 2.0 * deviation_deg});
  }
  causes.push_back({"reciprocal", kReciprocal, 180.0});
  return causes;
}

}  // namespace qn
