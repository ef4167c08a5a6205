// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "procedure/air_fit_internal.h"

namespace qn {

/// A way in which a reading is written down wrong, and by how much it then is off.
struct AirCause {
  const char* name = "";
  double share = 0.0;  ///< of all wrong readings of this kind
  double shift = 0.0;  ///< read minus what was to be read; degrees, or knots of a speed
};

/// Causes for a reading of this kind; what they leave of the share of 1 is in no pattern. A mean
/// over a recording, which nobody writes down, has none.
std::vector<AirCause> air_causes_of(AirReading kind, double read, bool by_hand);

inline constexpr const char* kNoPattern = "no pattern";

/// The chance of a wrong reading before anything is seen, and how far it strays in no pattern.
double air_wrong_chance(AirReading kind, bool by_hand);
/// Density of a shift that follows no pattern and is known with this variance.
double air_stray_density(AirReading kind, double shift, double variance);

/// What a node of the noise foretells for this reading from the other two of the leg.
double air_foretold(const AirRow& row, AirReading kind, DeviationForm form,
                    const AirParameters& theta, const AirPrior& prior);

/// Whether a leg has what it takes to be doubted: a heading and a track.
inline bool can_be_doubted(const AirRow& row) { return row.indicated_deg && row.track_deg; }

/// Fills `opinions` with all worth having, likeliest first, each with its posterior; probabilities
/// add up to 1, and those that leave the wind untold are left out. `unchecked`: the rows whose
/// heading could be off by 10 and none would see it.
void weigh_air_opinions(AirFit& fit);

/// Whether the legs tell the wind by this posterior law.
bool tells_wind(const AirFit& fit, const AirNode& node);

}  // namespace qn
