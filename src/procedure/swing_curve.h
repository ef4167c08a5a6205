// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>

namespace qn {

/// A, B, C, D, E in this order.
using SwingCoefficients = std::array<double, 5>;

enum class DeviationForm {
  series,  ///< A + B sin z + C cos z + D sin 2z + E cos 2z, degrees
  exact,   ///< sin d = A' cos d + B' sin z + C' cos z + D' sin(2z + d) + E' cos(2z + d)
};

/// Deviation (magnetic minus indicated, east positive) over the indicated heading z.
///
/// coefficients  degrees. In the exact form they are A'..E' times 180/pi, so that both forms agree
///               when the deviation is small.
/// source        exact form: Smith's equation as in docs/sources.md, "deviation of the compass"
struct DeviationCurve {
  DeviationForm form = DeviationForm::series;
  SwingCoefficients coefficients_deg{};

  struct Value {
    double deviation_deg = 0.0;
    double slope = 0.0;  ///< degree per degree of indicated heading
    SwingCoefficients per_coefficient{};
  };
  Value at(double indicated_deg) const;
  double deviation_deg(double indicated_deg) const { return at(indicated_deg).deviation_deg; }
};

/// Coefficients of the exact form for a compass that has these of the series.
///
/// source  Elementary Manual for the Deviations of the Compass (1875), as in docs/sources.md
SwingCoefficients exact_from_series(const SwingCoefficients& series_deg);

/// What a compass with this curve reads on a magnetic heading: indicated + deviation(indicated) =
/// magnetic. Where the curve is so steep that several readings would do, the one nearest to
/// `near_deg`, or nearly so. Returns degrees near `near_deg`, not wrapped.
double indicated_on(const DeviationCurve& curve, double magnetic_deg, double near_deg);

/// The same, and the curve where it reads so (to 1e-6 degrees).
DeviationCurve::Value reading_on(const DeviationCurve& curve, double magnetic_deg, double near_deg,
                                 double& indicated_deg);

}  // namespace qn
