// SPDX-License-Identifier: Apache-2.0
#include "procedure/sensor_apply.h"

#include <cmath>
#include <numbers>

#include "procedure/sensor_model_internal.h"
#include "vocab/heading.h"

namespace qn {
namespace {

constexpr double kRad = std::numbers::pi / 180.0;

double angle_at(const std::vector<double>& deg, std::size_t k) {
  return !deg.empty() && std::isfinite(deg[k]) ? deg[k] * kRad : 0.0;
}

// Derivatives of the heading by the corrected field, radians per microtesla.
Vector3 heading_gradient(const Vector3& x, double roll, double pitch) {
  Vector3 gradient{};
  for (std::size_t i = 0; i < 3; ++i) {
    constexpr double kStep_uT = 1e-4;
    Vector3 up = x;
    Vector3 down = x;
    up[i] += kStep_uT;
    down[i] -= kStep_uT;
    gradient[i] = std::remainder(sensor_model::heading_of_rad(up, roll, pitch) -
                                     sensor_model::heading_of_rad(down, roll, pitch),
                                 2.0 * std::numbers::pi) /
                  (2.0 * kStep_uT);
  }
  return gradient;
}

}  // namespace

std::vector<CorrectedSample> apply_to_recording(const SensorCorrection& correction,
                                                double noise_sigma_uT,
                                                const SensorRecording& recording) {
  std::vector<CorrectedSample> out;
  out.reserve(recording.size());
  const auto& V = correction.covariance.values;
  for (std::size_t k = 0; k < recording.size(); ++k) {
    const Vector3 raw{recording.field[0][k], recording.field[1][k], recording.field[2][k]};
    CorrectedSample sample;
    sample.field_uT = apply_correction(correction, raw);
    const double roll = angle_at(recording.roll_deg, k);
    const double pitch = angle_at(recording.pitch_deg, k);
    sample.heading_deg =
        wrap_360_deg(sensor_model::heading_of_rad(sample.field_uT, roll, pitch) / kRad);
    const Vector3 g = heading_gradient(sample.field_uT, roll, pitch);
    // x = matrix (raw - offset): by matrix_ij g_i (raw - offset)_j, by offset_j -(g matrix)_j.
    std::array<double, 12> row{};
    for (std::size_t j = 0; j < 3; ++j) {
      for (std::size_t i = 0; i < 3; ++i) {
        row[3 * i + j] = g[i] * (raw[j] - correction.offset_raw[j]);
        row[9 + j] -= g[i] * correction.matrix[i][j];
      }
    }
    double variance = 0.0;
    for (std::size_t a = 0; a < 12; ++a) {
      for (std::size_t b = 0; b < 12; ++b) variance += row[a] * V[a][b] * row[b];
    }
    for (const double component : g) {
      variance += component * component * noise_sigma_uT * noise_sigma_uT;
    }
    const Angle half = Angle::radians(1.959964 * std::sqrt(std::max(variance, 0.0)));
    sample.heading_95 = {Angle::degrees(sample.heading_deg) - half,
                         Angle::degrees(sample.heading_deg) + half};
    out.push_back(sample);
  }
  return out;
}

}  // namespace qn
