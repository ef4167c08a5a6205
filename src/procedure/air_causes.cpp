// SPDX-License-Identifier: Apache-2.0
#include <array>
#include <cmath>
#include <numbers>

#include "procedure/air_gross_internal.h"
#include "procedure/swapped_digits_internal.h"
#include "vocab/heading.h"

namespace qn {
namespace {

// Shares of the causes among wrong directions: our own opinion; docs/math/air-check.md prints them.
constexpr double kAirByTen = 0.15;     // each way
constexpr double kAirByTwenty = 0.06;  // each way
constexpr double kAirByThirty = 0.07;  // each way
constexpr double kAirSwapped = 0.10;   // of all pairs of digits
constexpr double kAirReciprocal = 0.04;
// The same of ground speeds, in knots: a digit misread, two changed over.
constexpr double kSpeedByTen = 0.15;  // each way
constexpr double kSpeedByTwenty = 0.05;
constexpr double kSpeedByHundred = 0.05;
constexpr double kSpeedSwapped = 0.15;
// Before anything is seen.
constexpr double kWrongHeading = 0.04, kWrongVelocity = 0.01, kWrongOfLog = 0.005;
// In no pattern: half anywhere, half within this, 1 sigma.
constexpr double kAirStray_deg = 15.0, kAirStray_kt = 15.0;
constexpr double kSpeedAnywhere_kt = 150.0;

void add_swapped(double read, double share, int most, std::vector<AirCause>& causes) {
  const auto whole = static_cast<int>(std::lround(read));
  for (const int meant : with_digits_swapped(whole, most)) {
    causes.push_back({"digits swapped", 0.5 * share, static_cast<double>(whole - meant)});
  }
}

/// each_way  each as likely upwards as downwards
std::vector<AirCause> misread(const std::array<AirCause, 3>& each_way) {
  std::vector<AirCause> causes;
  for (const double sign : {-1.0, 1.0}) {
    for (const AirCause& one : each_way) causes.push_back({one.name, one.share, sign * one.shift});
  }
  return causes;
}

std::vector<AirCause> direction_causes(double read_deg) {
  auto causes = misread({{{"misread by 10", kAirByTen, 10.0},
                          {"misread by 20", kAirByTwenty, 20.0},
                          {"misread by 30", kAirByThirty, 30.0}}});
  add_swapped(read_deg, kAirSwapped, 360, causes);
  causes.push_back({"reciprocal", kAirReciprocal, 180.0});
  return causes;
}

std::vector<AirCause> speed_causes(double read_kt) {
  auto causes = misread({{{"misread by 10", kSpeedByTen, 10.0},
                          {"misread by 20", kSpeedByTwenty, 20.0},
                          {"misread by 100", kSpeedByHundred, 100.0}}});
  add_swapped(read_kt, kSpeedSwapped, 1000, causes);
  return causes;
}

double normal_density(double off, double variance) {
  return std::exp(-0.5 * off * off / variance) / std::sqrt(2.0 * std::numbers::pi * variance);
}

}  // namespace

std::vector<AirCause> air_causes_of(AirReading kind, double read, bool by_hand) {
  if (!by_hand) return {};
  return kind == AirReading::speed ? speed_causes(read) : direction_causes(read);
}

double air_wrong_chance(AirReading kind, bool by_hand) {
  if (!by_hand) return kWrongOfLog;
  return kind == AirReading::heading ? kWrongHeading : kWrongVelocity;
}

double air_stray_density(AirReading kind, double shift, double variance) {
  if (kind == AirReading::speed) {
    return 0.5 * normal_density(shift, kSpeedAnywhere_kt * kSpeedAnywhere_kt + variance) +
           0.5 * normal_density(shift, kAirStray_kt * kAirStray_kt + variance);
  }
  return 0.5 / 360.0 +
         0.5 * normal_density(wrap_180_deg(shift), kAirStray_deg * kAirStray_deg + variance);
}

}  // namespace qn
