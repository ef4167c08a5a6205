// SPDX-License-Identifier: Apache-2.0
#include "cli/live_run_options.h"

#include <utility>

namespace qn {

Result<RunSessionRequest> LiveRunOptions::request(const std::string& book_path) const {
  RunSessionRequest out{run, std::nullopt};
  out.run.book_path = book_path;
  out.run.setup.analysis.at = place.at;
  out.run.setup.analysis.on = place.on;
  out.run.setup.analysis.horizontal_uT = measured.horizontal_uT;
  out.run.setup.analysis.vertical_uT = measured.vertical_uT;
  out.run.links.typed_from_program = true;
  if (turn) {
    out.run.setup.procedure = RunSetup::Procedure::sensor;
    out.run.setup.stations_deg = even_run_stations_deg(*turn);
  }
  if (swing) {
    out.run.setup.procedure = RunSetup::Procedure::swing;
    SwingRunSetup& setup = out.run.setup.swing;
    setup.stations = *swing;
    for (const std::string& compass : compasses) {
      if (auto added = add_swing_compass(compass, setup); !added) return added.error();
    }
    if (loads) {
      auto states = swing_loads_from(*loads);
      if (!states) return states.error();
      setup.loads = std::move(states).value();
    }
    // The same words as of a turning and of a run of devices.
    setup.request.station_sigma_deg = out.run.setup.station_sigma_deg;
    setup.request.north_sigma_deg = out.run.setup.north_sigma_deg;
    setup.request.limit_basis = out.run.setup.analysis.limit_basis;
  }
  if (rehearse) {
    out.rehearsal = rehearsal;
    out.rehearsal->seed = *rehearse;
  }
  if (!addresses.empty()) {
    auto links = link_requests(addresses, decoding);
    if (!links) return links.error();
    out.run.setup.links = std::move(links).value();
  }
  return out;
}

namespace {

void add_swing_run_options(CLI::App& command, LiveRunOptions& options) {
  SwingRunSetup& swing = options.run.setup.swing;
  auto* stations =
      command
          .add_option("--swing", options.swing,
                      "swing: turn the aircraft onto so many marks and read every compass there")
          ->check(CLI::IsMember({8, 12, 16, 24}));
  const auto add = [&](auto* option) { option->needs(stations); };
  add(command.add_flag("--both-ways", swing.both_ways, "swing: once around in each direction"));
  add(command.add_option("--compass", options.compasses,
                         "swing: NAME or NAME:LIMIT in degrees; may be repeated"));
  add(command.add_option("--from-link", swing.from_link,
                         "swing: the compass whose heading the link shows"));
  add(command.add_option("--loads", options.loads, "swing: off, on, or off,on: read with each"));
  add(command.add_option("--hold-s", swing.hold_s, "swing: standing still before a reading (30)"));
  add(command.add_option("--rounding-deg", swing.request.rounding_deg,
                         "swing: readings are rounded to this step (1)"));
  add(command.add_option("--reading-sigma-deg", swing.request.reading_sigma_deg,
                         "swing: error of a reading beside the rounding, 1 sigma (0.7)"));
  add(command.add_option("--hysteresis-sigma-deg", swing.request.hysteresis_sigma_deg,
                         "swing: difference between turns when only one is made, 1 sigma (0.5)"));
  add(command.add_option("--variation-deg", swing.request.variation_deg,
                         "swing: variation, east positive, to notice a wrong north"));
}

}  // namespace

void add_live_run_options(CLI::App& command, LiveRunOptions& options) {
  DisturbanceRequest& analysis = options.run.setup.analysis;
  command.add_option("--link", options.addresses,
                     "where the sensor speaks, as `link` takes it; may be repeated");
  command.add_option("--decoder", options.decoding.decoders,
                     "automatic, nmea, lines or typed; \"2:nmea\" for link 2 alone");
  command.add_option("--columns", options.decoding.columns, "names of the columns by position");
  command.add_option("--map", options.decoding.maps, "NAME=COLUMN: what a column is");
  command
      .add_option("--turn", options.turn,
                  "turn the aircraft onto so many stations for a sensor fit, in place of a "
                  "disturbance run")
      ->check(CLI::IsMember({4, 6, 8, 12, 16, 24}));
  command.add_option("--station-sigma-deg", options.run.setup.station_sigma_deg,
                     "turning, swing: how well it stands on each mark, 1 sigma");
  command.add_option("--north-sigma-deg", options.run.setup.north_sigma_deg,
                     "turning, swing: common error of all marks, 1 sigma");
  add_swing_run_options(command, options);
  command.add_flag("--go-on", options.run.go_on, "with the unfinished run of the book");
  add_place_options(command, options.place);
  add_measured_field_options(command, options.measured);
  command.add_option("--limit-deg", analysis.limit_deg, "limit for one device, degrees");
  command.add_option("--limit-basis", analysis.limit_basis, "where the limit comes from");
  command.add_option("--noise-uT", options.run.setup.noise_uT,
                     "noise of one sample to plan with, microtesla");
  command.add_option("--rate-Hz", options.run.setup.rate_Hz, "samples a second to plan with");
  command.add_option("--aircraft-heading", analysis.aircraft_heading_deg,
                     "magnetic heading on which the aircraft stands, degrees");
  command.add_flag("--rigid", analysis.rigid,
                   "the airframe cannot tilt while gear, flaps or engine are worked");
  command.add_option("--mount", analysis.mount, "sensor axes in the airframe");
  command.add_option("--mount-deg", analysis.mount_deg,
                     "YAW,PITCH,ROLL of the sensor in the airframe");
  command.add_option("--accel-reads", analysis.accel_reads, "up or down");
  command.add_option("--configuration", options.run.setup.configuration,
                     "NAME=STATE of what is not in the list: engine, canopy, gear");
  command.add_option("--rehearse", options.rehearse,
                     "SEED: a made-up aircraft behind a pseudo-terminal in place of links; its "
                     "switches move by themselves a few seconds after they are asked for");
  command.add_flag("--auto", options.rehearsal.answers,
                   "rehearsal: the made-up hand answers as well, with the mistakes of people");
  command.add_option("--speed", options.rehearsal.speed, "rehearsal: 1 to 100 times");
  command.add_option("--absent", options.rehearsal.absent,
                     "rehearsal: a device that the aircraft does not have; may be repeated");
}

}  // namespace qn
