// SPDX-License-Identifier: Apache-2.0
#include <cmath>

#include "procedure/sensor_solve_internal.h"

namespace qn::sensor_model {
namespace {

double precision_of(double sigma) { return 1.0 / (sigma * sigma); }

// A pair of mirrored entries: their mean is soft iron, half their difference is a turn of axes.
void add_pair(SquareMatrix& precision, std::size_t a, std::size_t b, double sigma_mean,
              double sigma_turn) {
  const double mean = 0.25 * precision_of(sigma_mean);
  const double turn = 0.25 * precision_of(sigma_turn);
  precision(a, a) += mean + turn;
  precision(b, b) += mean + turn;
  precision(a, b) += mean - turn;
  precision(b, a) += mean - turn;
}

}  // namespace

Prior make_prior(const Layout& layout, const PriorInput& input) {
  Prior prior{Parameters(layout.size, 0.0), SquareMatrix{layout.size}};
  SquareMatrix& P = prior.precision;
  // Independent entries of sigma kCoupling have a mean and a half-difference of this sigma each.
  const double half = assumed::kCoupling / std::sqrt(2.0);
  for (std::size_t i = 0; i < 3; ++i) {
    const auto d = static_cast<std::size_t>(layout.matrix[i][i]);
    prior.mean[d] = 1.0;
    P(d, d) += precision_of(assumed::kGain);
    for (std::size_t j = i + 1; j < 3; ++j) {
      const auto a = static_cast<std::size_t>(layout.matrix[i][j]);
      const auto b = static_cast<std::size_t>(layout.matrix[j][i]);
      const bool yaw = i == 0 && j == 1;
      if (a == b) {
        P(a, a) += precision_of(half);
      } else {
        add_pair(P, a, b, half, yaw ? assumed::kYaw_rad : half);
      }
    }
  }
  const auto put = [&](int index, double mean, double sigma) {
    const auto p = static_cast<std::size_t>(index);
    prior.mean[p] = mean;
    P(p, p) += precision_of(sigma);
  };
  put(layout.offset, 0.0, assumed::kFlat_uT);
  put(layout.offset + 1, 0.0, assumed::kFlat_uT);
  put(layout.offset + 2, 0.0, input.level_turn ? assumed::kVerticalIron_uT : assumed::kFlat_uT);
  put(layout.horizontal, input.horizontal, input.sigma_horizontal);
  put(layout.down, input.down, input.sigma_down);
  if (layout.slope >= 0) {
    put(layout.slope, input.slope_north_rad, input.sigma_slope_rad);
    put(layout.slope + 1, input.slope_east_rad, input.sigma_slope_rad);
  }
  if (layout.deck >= 0) {
    put(layout.deck, input.deck_roll_rad, input.sigma_deck_rad);
    put(layout.deck + 1, input.deck_pitch_rad, input.sigma_deck_rad);
  }
  if (layout.north >= 0) put(layout.north, 0.0, input.sigma_north_rad);
  return prior;
}

}  // namespace qn::sensor_model
