// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <functional>
#include <optional>
#include <string>

#include "app/simulate_disturbance.h"
#include "vocab/result.h"

namespace qn {

/// One request for `quietnorth link simulate`: exactly one of the three is played.
struct SimulateLinkRequest {
  std::optional<std::string> log_path;  ///< a text log, line by line
  std::optional<SimulateDisturbanceRequest>
      disturbance;                       ///< a made-up run; its folder keeps the truth
  std::optional<std::string> scenario;   ///< a made-up sensor (app/simulate_sensor.h)
  std::string folder;                    ///< for `scenario`
  std::uint64_t seed = 1;                ///< for `scenario`
  double speed = 1.0;                    ///< 0.1 to 1000
  std::string link_path;                 ///< a name that stays when it is unplugged; empty: none
  std::optional<double> unplug_after_s;  ///< of playing
  double unplug_for_s = 3.0;
  /// Told the path to open, at once and after each plugging in.
  std::function<void(const std::string& path)> on_path;
};

struct SimulatedLink {
  std::uint64_t lines_sent = 0;
  std::uint64_t lines_lost = 0;  ///< nobody listened, or too slowly
  double seconds = 0.0;          ///< of the log
};

/// Plays a sensor behind a pseudo-terminal at its own rate, from the moment that somebody listens,
/// to the end of the log or Ctrl-C. The header line is repeated whenever somebody begins to listen.
///
/// errors  OutOfRange: not one thing to play, the speed. BadInput, Io: files, no pseudo-terminal
Result<SimulatedLink> simulate_link(const SimulateLinkRequest& request);

}  // namespace qn
