// SPDX-License-Identifier: Apache-2.0
#include "acquire/unit_guess.h"

#include <array>

namespace qn {
namespace {

struct Candidate {
  UnitGuess guess;
  double microtesla;  // one of it
};

// The commonest first: where two fit, it wins. 1 G = 100 uT, by definition.
constexpr std::array<Candidate, 6> kCandidates = {{
    {{"gauss x 1000 (milligauss)", "mG"}, 0.1},
    {{"nanotesla", "nT"}, 0.001},
    {{"gauss", "G"}, 100.0},
    {{"millitesla", "mT"}, 1000.0},
    {{"tesla", "T"}, 1e6},
    {{"hundredths of a microtesla, or raw counts", "raw"}, 0.01},
}};

}  // namespace

std::optional<UnitGuess> guess_field_unit(double length, double lo_uT, double hi_uT) {
  const auto fits = [&](double uT) { return uT >= lo_uT && uT <= hi_uT; };
  if (fits(length)) return std::nullopt;
  for (const Candidate& candidate : kCandidates) {
    if (fits(length * candidate.microtesla)) return candidate.guess;
  }
  return std::nullopt;
}

}  // namespace qn
