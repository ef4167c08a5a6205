// SPDX-License-Identifier: Apache-2.0
#include <catch2/catch.hpp>

#include "procedure/air_maker.h"

using namespace qn;
using namespace qn::test;

// 80 flights each; a share of 0.95 has a standard deviation of 0.024, so 0.87 is passed by a true
// 0.95 in all but one of a thousand trials. The tables with 2000 flights: `qn_accuracy air-legs`.
// Nothing for the sanitizers that air_check_test.cpp and those of the command do not show them.
TEST_CASE("the bands of an air check hold", "[procedure][synthetic][long]") {
  for (const bool from_log : {false, true}) {
    AirScore coefficients, wind, tas, worst;
    int blind = 0, doubted = 0;
    constexpr int kFlights = 80;
    for (std::uint64_t seed = 0; seed < kFlights; ++seed) {
      const MadeFlight flight = make_flight(4 + seed % 7, from_log, 20000 + seed);
      const auto solved = solve_air(flight.legs, flight.options);
      REQUIRE(solved.has_value());
      const AirSolution& s = solved.value();
      if (!s.wind_known) {
        ++blind;
        continue;
      }
      if (!s.gross.empty() || !s.suspects.empty()) ++doubted;
      for (std::size_t j = 0; j < 5; ++j) {
        if (!s.supported[j]) continue;
        coefficients.add(flight.truth.coefficients_deg[j], s.band_95_deg[j],
                         s.curve.coefficients_deg[j]);
      }
      for (std::size_t i = 0; i < 2; ++i) {
        wind.add(flight.truth.wind_kt[i], s.wind_95_kt[i], s.wind_to_kt[i]);
      }
      tas.add(flight.truth.tas_kt, s.tas_95_kt, s.tas_kt);
      worst.add(flight.worst(), s.worst_95_deg, s.worst_deviation_deg);
    }
    INFO((from_log ? "log" : "hand")
         << ": coefficients " << coefficients.share() << ", wind " << wind.share() << ", airspeed "
         << tas.share() << ", worst " << worst.share() << ", blind " << blind << ", doubted "
         << doubted);
    CHECK(coefficients.share() > 0.92);
    CHECK(wind.share() > 0.87);
    CHECK(tas.share() > 0.87);
    CHECK(worst.share() > 0.87);
    CHECK(blind <= kFlights / 20);
    CHECK(doubted <= kFlights / 25);
  }
}
