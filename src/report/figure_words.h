// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

#include "report/page_canvas.h"
#include "vocab/angle.h"
#include "vocab/band.h"

namespace qn {

// How figures are written on a sheet: a real minus, a point, no plus-minus sign.

/// `decimals` places, U+2212 for a minus, never a negative zero; "not a number" for what is none.
std::string number_words(double value, int decimals);
/// "3.8°", to 0.1.
std::string degree_words(Angle angle);
/// A limit is written as finely as it was given, up to 0.01: "1.0°", "0.25°".
std::string limit_words(Angle limit);
/// "3.6 to 4.1"; "at most 0.7" when it starts at zero, "at most 0.1" for no effect.
std::string band_words(const Band95& size);
/// Heading as three digits: "030"; 360 is "000".
std::string heading_words(double heading_deg);
/// "12 480", with a narrow space.
std::string count_words(std::size_t count);
/// "45 s", "4 min 10 s".
std::string duration_words(double seconds);
/// "14 May 2026" for an ISO date; anything else as it is.
std::string day_words(std::string_view iso_day);
/// "9f2c 71d0 ..."
std::string hash_words(std::string_view hex);
/// A sentence of the program's text output as it stands on paper: "4.4 deg" becomes "4.4°", a minus
/// before a figure a real one.
std::string paper_words(std::string_view text);
/// The figures of a sentence, to be set bold; percentages of a band are not figures to act on.
std::vector<BoldSpan> figures_in(std::string_view sentence);

}  // namespace qn
