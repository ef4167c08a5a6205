// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <cmath>
#include <iterator>
#include <nlohmann/json.hpp>

#include "app/simulated_files_internal.h"
#include "simulate/heading_truth.h"

namespace qn {
namespace {

using Json = nlohmann::ordered_json;
using simulate::Scenario;
using simulate::SimulatedRecording;

std::string first_lines(const Scenario& scenario) {
  return fmt::format("# simulated, with a known truth: scenario {}, seed {}\n# {}\n", scenario.name,
                     scenario.plan.seed, scenario.title);
}

Json noise_object(const simulate::NoiseTruth& noise) {
  return {{"white_sigma_uT", noise.white_sigma_uT},
          {"slow_sigma_uT", noise.slow_sigma_uT},
          {"slow_correlation_time_s", noise.slow_correlation_time_s}};
}

Json field_object(const LocalField& field) {
  return {{"H_uT", field.horizontal_uT},
          {"Z_uT", field.down_uT},
          {"F_uT", field.total_uT()},
          {"dip_deg", field.dip().in_deg()}};
}

Json stops_array(const SimulatedRecording& made) {
  Json stops = Json::array();
  for (const auto& stop : made.stops) {
    stops.push_back({{"row", stop.row + 1},
                     {"station_deg", stop.station_deg},
                     {"true_heading_deg", std::fmod(stop.true_heading_deg + 720.0, 360.0)},
                     {"from_s", stop.from_s},
                     {"to_s", stop.to_s}});
  }
  return stops;
}

Json curve_array(const simulate::SensorTruth& truth) {
  Json curve = Json::array();
  for (int heading = 0; heading < 360; heading += 5) {
    const double error =
        simulate::heading_error_deg(truth, {}, {static_cast<double>(heading), 0.0, 0.0});
    curve.push_back({{"heading_deg", heading}, {"before_deg", error}});
  }
  return curve;
}

}  // namespace

std::string simulated_log_csv(const Scenario& scenario, const SimulatedRecording& made) {
  const SensorRecording& log = made.recording;
  const bool counts = log.unit == FieldUnit::counts;
  const bool attitude = !log.roll_deg.empty();
  const bool accel = !log.accel_g[0].empty();
  std::string text = first_lines(scenario);
  text += counts ? "time_s,field_x_raw,field_y_raw,field_z_raw"
                 : "time_s,field_x_uT,field_y_uT,field_z_uT";
  if (attitude) text += ",roll_deg,pitch_deg";
  if (accel) text += ",accel_x_g,accel_y_g,accel_z_g";
  text += "\n";
  const auto out = std::back_inserter(text);
  const int decimals = counts ? 0 : 3;
  for (std::size_t k = 0; k < log.size(); ++k) {
    fmt::format_to(out, "{:.4f},{:.{}f},{:.{}f},{:.{}f}", log.time_s[k], log.field[0][k], decimals,
                   log.field[1][k], decimals, log.field[2][k], decimals);
    if (attitude) fmt::format_to(out, ",{:.2f},{:.2f}", log.roll_deg[k], log.pitch_deg[k]);
    if (accel) {
      fmt::format_to(out, ",{:.4f},{:.4f},{:.4f}", log.accel_g[0][k], log.accel_g[1][k],
                     log.accel_g[2][k]);
    }
    text += "\n";
  }
  return text;
}

std::string simulated_stations_csv(const Scenario& scenario, const SimulatedRecording& made) {
  std::string text = first_lines(scenario) + "station_deg\n";
  for (const Station& station : made.stations) text += fmt::format("{}\n", station.station_deg);
  return text;
}

std::string simulated_truth_json(const Scenario& scenario, const LocalField& model,
                                 const SimulatedRecording& made, const std::string& fit_command) {
  const simulate::SensorTruth& truth = made.truth;
  const simulate::WorstError worst = simulate::worst_heading_error(truth, {}, 0.0, 0.0);
  const simulate::Correction perfect = simulate::perfect_correction(truth);
  Json document{{"schema", "quietnorth/sensor-truth/1"},
                {"scenario", scenario.name},
                {"title", scenario.title},
                {"seed", scenario.plan.seed},
                {"aircraft", scenario.aircraft},
                {"hangar", scenario.hangar},
                {"latitude_deg", scenario.latitude_deg},
                {"longitude_deg", scenario.longitude_deg},
                {"date", scenario.date_iso},
                {"fit_command", fit_command},
                {"samples", made.recording.size()},
                {"raw_unit", truth.counts_per_uT ? "counts" : "uT"},
                {"counts_per_uT", truth.counts_per_uT ? Json(*truth.counts_per_uT) : Json()},
                {"model", field_object(model)},
                {"earth", field_object(truth.true_field)},
                {"soft_iron", truth.soft_iron},
                {"hard_iron_uT", truth.hard_iron_uT},
                {"matrix", perfect.matrix},
                {"noise", noise_object(truth.noise)},
                {"quantum_uT", truth.quantum_uT},
                {"slope_north_deg", truth.slope.north_deg},
                {"slope_east_deg", truth.slope.east_deg},
                {"deck_roll_deg", truth.deck.roll_deg},
                {"deck_pitch_deg", truth.deck.pitch_deg},
                {"north_error_deg", made.north_error_deg},
                {"stops", stops_array(made)}};
  document["heading_error_before_deg"] = {{"worst", worst.size_deg},
                                          {"at_heading_deg", worst.at_heading_deg}};
  document["curve"] = curve_array(truth);
  return document.dump(2) + "\n";
}

}  // namespace qn
