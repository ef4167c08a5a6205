// SPDX-License-Identifier: Apache-2.0
#include "cli/link_options.h"

namespace qn {

void add_link_options(CLI::App& command, LinkOptions& options) {
  command
      .add_option("LINK", options.addresses,
                  "/dev/PORT@SPEED, udp:PORT, udp:any:PORT, tcp:HOST:PORT, iio:SENSOR@RATE, "
                  "replay:FILE@SPEED, stdin or typed; several are recorded on one time line")
      ->required();
  command.add_option("--columns", options.decoding.columns,
                     "what unnamed columns are, for example time_ms,field_x_uT,field_y_uT,"
                     "field_z_uT,-; 2:... for the second link alone");
  command.add_option("--map", options.decoding.maps, "NAME=COLUMN: what a named column is");
  command.add_option("--decoder", options.decoding.decoders,
                     "automatic, nmea, lines or typed (automatic)");
  command.add_option("--for", options.seconds, "seconds to go on; without it, until Ctrl-C")
      ->check(CLI::PositiveNumber);
  command.add_option("--root", options.root, "where /sys and /dev are looked for")->group("");
}

}  // namespace qn
