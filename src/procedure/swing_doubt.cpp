// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <utility>

#include "procedure/swing_compass_internal.h"
#include "vocab/heading.h"

namespace qn {
namespace {

// A reading is named when it is this sure; when no single one is, but this sure that some reading
// is wrong, those in question are shown and none is left out by name.
constexpr double kNamed = 0.7;
constexpr double kSomething = 0.35;
constexpr double kInQuestion = 0.05;

struct Doubt {
  double probability = 0.0;
  std::map<std::string, double> causes;
};

std::string likeliest_cause(const Doubt& doubt) {
  std::string out;
  double most = -1.0;
  for (const auto& [cause, weight] : doubt.causes) {
    if (weight > most) {
      most = weight;
      out = cause;
    }
  }
  return out;
}

}  // namespace

void fill_gross(SwingCompass& compass, const CompassFit& fit,
                const std::vector<SwingReading>& readings) {
  std::vector<Doubt> doubts(fit.rows.size());
  double all_good = 0.0;
  for (const GrossSet& set : fit.sets) {
    if (set.rows.empty()) all_good += set.probability;
    for (std::size_t k = 0; k < set.rows.size(); ++k) {
      doubts[set.rows[k]].probability += set.probability;
      doubts[set.rows[k]].causes[set.causes[k]] += set.probability;
    }
  }
  const SwingTilt tilt = compass.stance ? compass.stance->per_deg : SwingTilt{};
  for (std::size_t i = 0; i < doubts.size(); ++i) {
    const bool named = doubts[i].probability > kNamed;
    if (!named && (1.0 - all_good < kSomething || doubts[i].probability < kInQuestion)) continue;
    const SwingReading& reading = readings[i];
    DoubtfulReading out;
    out.row = reading.row;
    out.station_deg = reading.station_deg;
    out.indicated_deg = reading.indicated_deg;
    const DeviationCurve curve = curve_on_stop(compass.curve, fit.rows[i], tilt);
    out.expected_deg = wrap_360_deg(
        indicated_on(curve, reading.station_deg, reading.station_deg - curve.coefficients_deg[0]));
    out.likely = likeliest_cause(doubts[i]);
    out.probability = doubts[i].probability;
    (named ? compass.gross : compass.suspects).push_back(std::move(out));
  }
  const auto surest_first = [](const DoubtfulReading& a, const DoubtfulReading& b) {
    return a.probability > b.probability;
  };
  std::sort(compass.gross.begin(), compass.gross.end(), surest_first);
  std::sort(compass.suspects.begin(), compass.suspects.end(), surest_first);
  // With one reading named beyond doubt, only others that are likelier wrong than right still
  // count.
  if (!compass.gross.empty()) {
    std::erase_if(compass.suspects, [](const DoubtfulReading& d) { return d.probability < 0.5; });
  }
}

}  // namespace qn
