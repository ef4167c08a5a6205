// SPDX-License-Identifier: Apache-2.0
#include "simulate/sensor_truth.h"

#include <cstddef>

namespace qn::simulate {

LocalField draw_true_field(const LocalField& model, Random& random) {
  LocalField out = model;
  // A sigma of several H (near a magnetic pole) could draw H <= 0: draw again, there is no such H.
  do {
    out.horizontal_uT = model.horizontal_uT + model.sigma_horizontal_uT * random.normal();
  } while (out.horizontal_uT <= 0.0);
  out.down_uT = model.down_uT + model.sigma_down_uT * random.normal();
  return out;
}

void draw_iron(const IronSpread& spread, Random& random, SensorTruth& truth) {
  Matrix3 correction{};
  for (std::size_t i = 0; i < 3; ++i) {
    for (std::size_t j = 0; j < 3; ++j) {
      correction[i][j] = i == j ? 1.0 + spread.diagonal_sigma * random.normal()
                                : spread.off_diagonal_sigma * random.normal();
    }
  }
  truth.soft_iron = inverted(correction);
  for (double& h : truth.hard_iron_uT) h = spread.hard_iron_sigma_uT * random.normal();
}

Vector3 clean_raw_uT(const SensorTruth& truth, const Matrix3& R_body_earth) {
  const Vector3 earth{truth.true_field.horizontal_uT, 0.0, truth.true_field.down_uT};
  Vector3 raw = product(truth.soft_iron, product(R_body_earth, earth));
  for (std::size_t i = 0; i < 3; ++i) raw[i] += truth.hard_iron_uT[i];
  return raw;
}

}  // namespace qn::simulate
