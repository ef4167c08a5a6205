// SPDX-License-Identifier: Apache-2.0
#include <algorithm>

#include "procedure/air_gross_internal.h"

namespace qn {
namespace {

// A reading is set aside when it is this surely wrong; when none is, but something is with this
// probability, those in question are shown and all are used.
constexpr double kSetAside = 0.99;
constexpr double kAirSomething = 0.75;
constexpr double kAirInQuestion = 0.05;

DoubtfulLeg doubt_of(const AirFit& fit, const AirOpinion& opinion, double probability) {
  const AirRow& row = fit.rows[*opinion.row];
  DoubtfulLeg out;
  out.leg = fit.leg_of_row[*opinion.row];
  out.likely = opinion.likely;
  out.probability = probability;
  out.expected = air_foretold(row, opinion.reading, opinion.posterior.form,
                              opinion.posterior.likeliest().theta, fit.prior);
  switch (opinion.reading) {
    case AirReading::heading:
      out.reading = "heading";
      out.read = *row.indicated_deg;
      break;
    case AirReading::track:
      out.reading = "track";
      out.read = *row.track_deg;
      break;
    case AirReading::speed:
      out.reading = "ground speed";
      out.read = row.groundspeed_kt;
      break;
  }
  return out;
}

}  // namespace

void fill_air_doubt(AirSolution& out, const AirFit& fit) {
  double wrong = 0.0;
  std::vector<double> of_row(fit.rows.size(), 0.0);
  for (const AirOpinion& opinion : fit.opinions) {
    if (!opinion.row) continue;
    wrong += opinion.probability;
    of_row[*opinion.row] += opinion.probability;
  }
  // Opinions come likeliest first: the first of a leg says which of its readings is the likeliest.
  std::vector<bool> said(fit.rows.size(), false);
  for (const AirOpinion& opinion : fit.opinions) {
    if (!opinion.row || said[*opinion.row]) continue;
    said[*opinion.row] = true;
    const double probability = of_row[*opinion.row];
    const bool aside = probability > kSetAside;
    if (!aside && (wrong < kAirSomething || probability < kAirInQuestion)) continue;
    (aside ? out.gross : out.suspects).push_back(doubt_of(fit, opinion, probability));
  }
  const auto surest_first = [](const DoubtfulLeg& a, const DoubtfulLeg& b) {
    return a.probability > b.probability;
  };
  std::sort(out.suspects.begin(), out.suspects.end(), surest_first);
  if (!out.gross.empty()) out.suspects.clear();
}

}  // namespace qn
