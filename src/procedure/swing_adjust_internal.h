// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <utility>
#include <vector>

#include "estimation/normal_equations.h"
#include "procedure/swing_adjust.h"
#include "procedure/swing_compass_internal.h"

namespace qn {

/// What the compass showed, between turns of its adjusters.
struct AdjustRow {
  double station_deg = 0.0, indicated_deg = 0.0;
  double turn = 1.0;      ///< +1 clockwise or not said, -1 the other way
  std::size_t visit = 0;  ///< stays on a mark, counted from 0: one placing each
  std::size_t turns = 0;  ///< adjusters turned before
};

/// Readings and turns of one compass in their order.
struct AdjustHistory {
  std::vector<AdjustRow> rows;
  std::vector<char> turned;  ///< A, B or C for each turn
  std::size_t visits = 0;
  bool both_turns = false;

  /// A turn on a mark: what it reads after. `visit`: a stay that is there, or a new one.
  void add_turn(char adjuster, double station_deg, double set_deg, std::size_t visit);
};
AdjustHistory history_of(const std::vector<SwingReading>& readings);

/// What the history tells of the curve as it is now; linear, because adjusting brings every compass
/// to where the sine series holds. A mixture over the size of the noise, which readings this few
/// hardly tell.
struct AdjustState {
  struct Size {
    double weight = 0.0;
    SwingCoefficients now_deg{};
    SquareMatrix covariance;  ///< 5 x 5, north included
  };
  SwingCoefficients now_deg{};
  SquareMatrix covariance;  ///< of the mixture
  SwingCoefficients sigma_deg{};
  std::array<bool, 5> told{};
  std::vector<double> placing_deg;  ///< of each visit, as far as it shows
  std::vector<Size> sizes;

  DeviationCurve curve() const { return {DeviationForm::series, now_deg}; }
  /// 95 % of way' coefficients.
  std::pair<double, double> band_95(const SwingCoefficients& way) const;
  /// Coefficients as they may be, 5 numbers each.
  std::vector<double> draws() const;
};
AdjustState state_of(const AdjustHistory& history, const SwingSettings& settings);

/// How much one degree of an adjuster's coefficient moves the deviation on a heading: 1, sin, cos.
double leverage_of(char adjuster, double heading_deg);
inline std::size_t coefficient_of(char adjuster) {
  return static_cast<std::size_t>(adjuster - 'A');
}

/// Where a compass is in its adjusting.
struct AdjustScene {
  const std::vector<SwingReading>& readings;
  AdjustHistory history;
  double standing_deg = 0.0;
  std::optional<std::size_t> visit_here;  ///< none: it has not been read on this mark
  double reads_here_deg = 0.0;
};

void plan_halving(SwingAdjustment& out, const AdjustScene& scene, const SwingSettings& settings);
void plan_least_squares(SwingAdjustment& out, const AdjustScene& scene,
                        const SwingSettings& settings, bool mount_turns);

/// The history with the planned turns made as they are planned.
AdjustHistory with_turns(const AdjustScene& scene, const std::vector<AdjusterTurn>& turns);

/// Remarks, verdict and sentence.
void fill_adjust_words(SwingAdjustment& out, const AdjustScene& scene,
                       const SwingAdjustOptions& options);

/// Screws are set for the aircraft as it stands: says what that leaves open of the level one, and
/// where that may pass the limit the verdict is not `within`.
void doubt_tilted(SwingAdjustment& out, const std::vector<SwingReading>& readings);

}  // namespace qn
