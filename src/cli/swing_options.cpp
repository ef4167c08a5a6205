// SPDX-License-Identifier: Apache-2.0
#include "cli/swing_options.h"

namespace qn {

SwingRequest SwingReadOptions::complete() const {
  SwingRequest out = request;
  out.at = place.at;
  out.on = place.on;
  return out;
}

void add_swing_read_options(CLI::App& command, SwingReadOptions& options) {
  SwingRequest& r = options.request;
  command.add_option("STATIONS", r.stations_path, "what was read on each heading, CSV")->required();
  command.add_option("--compass", r.compass, "only this compass");
  command.add_option("--rounding-deg", r.rounding_deg, "readings are rounded to this step (1)");
  command.add_option("--reading-sigma-deg", r.reading_sigma_deg,
                     "error of a reading beside the rounding, 1 sigma (0.7)");
  command.add_option(
      "--station-sigma-deg", r.station_sigma_deg,
      "error of placing the aircraft on a mark, 1 sigma (0.7; with that of\nthe marks of --rose)");
  command.add_option("--north-sigma-deg", r.north_sigma_deg,
                     "error of the rose's north, 1 sigma (0.5, or as --rose says)");
  command.add_option("--rose", r.rose_path,
                     "where the marks really point, CSV: stations are then the marks' names");
  command.add_option("--hysteresis-sigma-deg", r.hysteresis_sigma_deg,
                     "difference between turns when only one was made, 1 sigma (0.5)");
  command.add_option("--stations-are", r.stations_are, "magnetic (default) or true");
  command.add_option("--variation-deg", r.variation_deg, "variation, east positive");
  add_place_options(command, options.place);
  command.add_option("--deviation-is", r.deviation_is,
                     "for a column deviation_deg: to-add or reading-minus-truth");
  command.add_option("--aircraft", r.aircraft, "name for the document");
}

void add_box_option(CLI::App& command, SwingReadOptions& options) {
  command.add_option("--box-corrected", options.request.box_corrected,
                     "NAME=DATE: day of a sensor's last correction inside its own box");
}

}  // namespace qn
