// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <string_view>

namespace qn {

/// One row of the published coefficient file: Schmidt quasi-normalised Gauss coefficients in
/// nanotesla at the epoch, and their change in nanotesla a year.
struct HarmonicTerm {
  int degree;
  int order;
  double g_nT;
  double h_nT;
  double g_rate_nT;
  double h_rate_nT;
};

/// World Magnetic Model 2025, in the published order. Source: data/SOURCES.md.
extern const std::array<HarmonicTerm, 90> kWmm2025Terms;

/// Of the file the table was generated from.
extern const std::string_view kWmm2025CofSha256;

inline constexpr int kWmm2025Degree = 12;
inline constexpr double kWmm2025Epoch_years = 2025.0;
inline constexpr double kWmm2025End_years = 2030.0;
inline constexpr double kWmm2025Radius_m = 6371200.0;  // geomagnetic reference radius, WMM report

}  // namespace qn
