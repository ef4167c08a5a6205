// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <nlohmann/json.hpp>

#include "app/folder_of_files.h"
#include "app/solve_air.h"
#include "simulate/flight_maker.h"

namespace qn {
namespace {

std::string checked(const std::string& between) {
  unsigned sum = 0;
  for (const char c : between) sum ^= static_cast<unsigned char>(c);
  return fmt::format("${}*{:02X}\r\n", between, sum);
}

std::string csv_of(const simulate::SimulatedFlight& flight) {
  std::string out = "time_s,indicated_deg,track_deg,groundspeed_kt,roll_deg\n";
  for (std::size_t i = 0; i < flight.time_s.size(); ++i) {
    out += fmt::format("{:.0f},{:.1f},{:.1f},{:.1f},{:.1f}\n", flight.time_s[i],
                       flight.indicated_deg[i], flight.track_true_deg[i], flight.groundspeed_kt[i],
                       flight.roll_deg[i]);
  }
  return out;
}

// The place is invented and does not move: nothing reads it.
std::string nmea_of(const simulate::SimulatedFlight& flight) {
  std::string out;
  for (std::size_t i = 0; i < flight.time_s.size(); ++i) {
    const int s = 36000 + static_cast<int>(flight.time_s[i]);
    out += checked(fmt::format(
        "GPRMC,{:02d}{:02d}{:02d}.00,A,4918.000,N,01012.000,E,{:.1f},{:.1f},"
        "140526,,,A",
        s / 3600, s / 60 % 60, s % 60, flight.groundspeed_kt[i], flight.track_true_deg[i]));
    out += checked(fmt::format("HCHDG,{:.1f},,,,", flight.indicated_deg[i]));
  }
  return out;
}

std::string legs_of_hand(const std::vector<simulate::HandLeg>& legs) {
  std::string out = "leg,indicated_deg,track_deg,groundspeed_kt\n";
  for (std::size_t i = 0; i < legs.size(); ++i) {
    out += fmt::format("{},{:03.0f},{:03.0f},{:.0f}\n", i + 1, legs[i].indicated_deg,
                       legs[i].track_true_deg, legs[i].groundspeed_kt);
  }
  return out;
}

std::string truth_of(const SimulateFlightRequest& request, const simulate::FlightTruth& t,
                     const simulate::SimulatedFlight& flight) {
  nlohmann::ordered_json out{{"schema", "quietnorth/air-truth/1"},
                             {"seed", request.seed},
                             {"tas_kt", t.tas_kt},
                             {"wind_to_kt", t.wind_kt},
                             {"wind_change_kt_per_hour", t.wind_change_kt_per_hour},
                             {"variation_deg", t.variation_deg},
                             {"sideslip_deg", t.sideslip_deg}};
  const char* keys[] = {"A", "B", "C", "D", "E"};
  for (std::size_t j = 0; j < 5; ++j) out["coefficients_deg"][keys[j]] = t.coefficients_deg[j];
  out["legs"] = nlohmann::ordered_json::array();
  for (const simulate::FlownLeg& leg : flight.legs) {
    out["legs"].push_back(
        {{"from_s", leg.from_s}, {"to_s", leg.to_s}, {"magnetic_deg", leg.magnetic_deg}});
  }
  return out.dump(1) + "\n";
}

}  // namespace

Result<SimulatedFlightFiles> simulate_flight(const SimulateFlightRequest& request) {
  if (request.legs < 1 || request.legs > 40 ||
      !(request.leg_s >= 20.0 && request.leg_s <= 1800.0)) {
    return Error{ErrorKind::OutOfRange,
                 fmt::format("{} legs of {:g} s cannot be made", request.legs, request.leg_s),
                 "option --legs or --leg-s", "1 to 40 legs of 20 to 1800 s", "correct the number"};
  }
  const auto truth = simulate::invented_flight(request.seed);
  const auto headings = simulate::invented_headings(request.legs, request.seed);
  const auto flight = simulate::recorded_flight(truth, headings, request.leg_s, request.seed);
  const auto hand = simulate::flown_by_hand(truth, headings, request.leg_s + 60.0, request.seed);
  auto written = write_folder(request.folder, {{"flight.csv", csv_of(flight)},
                                               {"flight.nmea", nmea_of(flight)},
                                               {"legs.csv", legs_of_hand(hand)},
                                               {"truth.json", truth_of(request, truth, flight)}});
  if (!written) return written.error();
  return SimulatedFlightFiles{std::move(written).value(), truth.variation_deg};
}

}  // namespace qn
