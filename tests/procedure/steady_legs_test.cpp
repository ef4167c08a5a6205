// SPDX-License-Identifier: Apache-2.0
#include "procedure/steady_legs.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <limits>

#include "simulate/flight_maker.h"

using namespace qn;

namespace {

FlightLog log_of(const simulate::SimulatedFlight& flight) {
  FlightLog log;
  for (std::size_t i = 0; i < flight.time_s.size(); ++i) {
    log.add(flight.time_s[i], flight.indicated_deg[i], flight.track_true_deg[i],
            flight.groundspeed_kt[i], flight.roll_deg[i], std::nan(""));
  }
  return log;
}

FlightLog straight(double seconds, double heading, double track, double speed) {
  FlightLog log;
  for (double t = 0.0; t < seconds; t += 1.0)
    log.add(t, heading, track, speed, std::nan(""), std::nan(""));
  return log;
}

}  // namespace

TEST_CASE("legs of a flight are found between their turns", "[procedure][synthetic]") {
  int found = 0, flown = 0, invented = 0;
  for (std::uint64_t seed = 300; seed < 330; ++seed) {
    const auto truth = simulate::invented_flight(seed);
    const auto headings = simulate::invented_headings(6, seed);
    const auto flight = simulate::recorded_flight(truth, headings, 110.0, seed);
    const auto stretches = find_steady_legs(log_of(flight), {});
    double at = 0.0;
    for (const FlightStretch& s : stretches) {
      CHECK(s.from_s == Approx(at).margin(2.1));  // no hole: a bin at most
      at = s.to_s;
      CHECK(s.used == s.why_not.empty());
      if (!s.used) continue;
      bool inside = false;
      for (const auto& leg : flight.legs) {
        inside = inside || (s.from_s >= leg.from_s - 3.0 && s.to_s <= leg.to_s + 3.0);
      }
      if (!inside) ++invented;
    }
    for (const auto& leg : flight.legs) {
      ++flown;
      for (const FlightStretch& s : stretches) {
        if (s.used && s.from_s < leg.to_s - 30.0 && s.to_s > leg.from_s + 30.0) {
          ++found;
          break;
        }
      }
    }
  }
  INFO(found << " of " << flown << " found, " << invented << " invented");
  CHECK(found >= flown * 95 / 100);
  // Two legs that happen to have nearly the same heading are one; a bit of the climb may pass.
  CHECK(invented <= flown * 5 / 100);
}

TEST_CASE("every stretch that is left out says why", "[procedure][closed-form]") {
  SECTION("too short") {
    const auto s = find_steady_legs(straight(20.0, 90.0, 95.0, 100.0), {});
    REQUIRE(s.size() == 1);
    CHECK(s[0].why_not == "straight for 19 s only, 30 are needed");
  }
  SECTION("on the ground") {
    const auto s = find_steady_legs(straight(100.0, 90.0, 95.0, 8.0), {});
    REQUIRE(s.size() == 1);
    CHECK(s[0].why_not == "ground speed 8 kt: on the ground or too slow");
  }
  SECTION("a gap in the middle") {
    FlightLog log = straight(60.0, 359.0, 95.0, 100.0);
    for (double t = 90.0; t < 150.0; t += 1.0) {
      log.add(t, 1.0, 95.0, 100.0, std::nan(""), std::nan(""));
    }
    const auto s = find_steady_legs(log, {});
    REQUIRE(s.size() == 3);
    CHECK(s[0].used);
    CHECK(s[1].why_not == "no heading or ground velocity for 30 s, then left to settle");
    CHECK(s[2].used);
    CHECK(s[2].leg.from_s >= 100.0);  // settled
  }
  SECTION("turning all the time") {
    FlightLog log;
    for (double t = 0.0; t < 200.0; t += 1.0) {
      log.add(t, std::fmod(3.0 * t, 360.0), std::fmod(3.0 * t + 5.0, 360.0), 100.0, 18.0, 0.0);
    }
    for (const FlightStretch& s : find_steady_legs(log, {})) {
      CHECK_FALSE(s.used);
      CHECK_FALSE(s.why_not.empty());
    }
  }
  SECTION("speeding up") {
    FlightLog log;
    for (double t = 0.0; t < 30.0; t += 1.0) {
      log.add(t, 90.0, 95.0, 80.0 + t, std::nan(""), std::nan(""));
    }
    bool used = false;
    for (const FlightStretch& s : find_steady_legs(log, {})) used = used || s.used;
    CHECK_FALSE(used);
  }
  CHECK(find_steady_legs({}, {}).empty());
}
