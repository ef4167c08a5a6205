// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>

#include "earth/local_field.h"
#include "simulate/attitude.h"
#include "simulate/noise.h"
#include "vocab/field_vector.h"

namespace qn::simulate {

/// Somebody passes with steel: a smooth bump, stretch after stretch, until `share` of the
/// recording's time is touched.
struct PassingSteel {
  double share = 0.0;    ///< of all samples, 0 to 0.5
  double size_uT = 0.0;  ///< length of the added vector at its peak
  double seconds = 3.0;  ///< how long one passage lasts
};

/// Single samples that are simply wrong.
struct Spikes {
  double share = 0.0;
  double size_uT = 0.0;  ///< length of the added vector, direction at random
};

/// Attitude logged beside the field. The white error is new in every sample; the slow one is AR(1);
/// the bias stays (a level sensor that was screwed down a little askew).
struct AttitudeColumns {
  double white_sigma_deg = 0.0;
  double slow_sigma_deg = 0.0;
  double slow_correlation_time_s = 10.0;
  double roll_bias_deg = 0.0;
  double pitch_bias_deg = 0.0;
};

/// Accelerometer columns: (0, 0, -1) g level and at rest, plus white noise per axis. The movement
/// itself is taken as slow, so that it adds nothing.
struct AccelColumns {
  double sigma_g = 0.0;
};

/// All that is true of a simulated sensor and that an estimator has to find out or to live with.
///
///   raw_uT = soft_iron * field_body + hard_iron + noise (+ passing steel, spikes)
///   then rounded to the quantum, cut off at the rail, and multiplied by counts_per_uT.
struct SensorTruth {
  Matrix3 soft_iron{{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}};  ///< S: body (= sensor) axes to raw
  Vector3 hard_iron_uT{};                                ///< h
  LocalField true_field;  ///< what is really there; its sigmas are those of the model it is from
  NoiseTruth noise;
  double quantum_uT = 0.0;              ///< step of the recorded numbers; 0: none
  double rail_uT = 0.0;                 ///< largest size of a recorded number; 0: none
  std::optional<double> counts_per_uT;  ///< set: the recording is in counts
  Slope slope;                          ///< used on the ground (swing, stations, rest)
  DeckTilt deck;                        ///< same
  std::optional<AttitudeColumns> attitude;
  std::optional<AccelColumns> accel;
  PassingSteel steel;
  Spikes spikes;
};

/// A field that could be the truth where a model says `model`: H and Z moved by its sigmas.
LocalField draw_true_field(const LocalField& model, Random& random);

/// How a sensor in an aircraft may be: the spread that the estimator states as its broad prior.
/// The correction M = S^-1 is drawn, element by element.
struct IronSpread {
  double diagonal_sigma = 0.1;       ///< of M's diagonal around 1
  double off_diagonal_sigma = 0.05;  ///< of M's other elements around 0
  double hard_iron_sigma_uT = 20.0;
};
void draw_iron(const IronSpread& spread, Random& random, SensorTruth& truth);

/// The raw reading in microtesla without noise, rounding or rail.
Vector3 clean_raw_uT(const SensorTruth& truth, const Matrix3& R_body_earth);

}  // namespace qn::simulate
