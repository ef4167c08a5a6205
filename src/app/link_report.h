// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "acquire/decoder.h"
#include "acquire/link_receiver.h"
#include "app/live_links.h"
#include "earth/local_field.h"
#include "vocab/field_vector.h"
#include "vocab/sample.h"

namespace qn {

/// How one source of a link is doing.
struct SourceReport {
  std::string name;
  std::uint64_t readings = 0;
  double rate_Hz = 0.0;
  std::uint64_t gaps = 0;
  double longest_gap_s = 0.0;
  std::optional<Vector3> field;  ///< the latest
  FieldUnit field_unit = FieldUnit::microtesla;
  Vector3 noise{};                 ///< 1 sigma of one reading, per axis, in field_unit
  std::optional<double> strength;  ///< median length of the field, in field_unit
  std::optional<double> heading_deg, heading_noise_deg;
  std::optional<double> current_A, roll_deg, pitch_deg;
  SourceClock clock;
};

/// How one link is doing, and in words what is wrong.
struct LinkReport {
  std::size_t link = 0;
  std::string address;
  bool connected = false;
  bool ended = false;
  std::uint64_t times_lost = 0;
  double silent_s = 0.0;  ///< since its last bytes
  DecoderTally tally;
  std::vector<SourceReport> sources;
  std::vector<std::string> wrong;  ///< whole sentences, the gravest first; often none
};

/// earth  what the field should be here; nothing when nobody said where here is
LinkReport link_report(const LinkReceiver& receiver, double now_s,
                       const std::optional<LocalField>& earth);

/// All links, in their order.
std::vector<LinkReport> link_reports(const LiveLinks& live, double now_s,
                                     const std::optional<LocalField>& earth);

/// The sentences alone.
std::vector<std::string> what_is_wrong(const LinkReceiver& receiver, double now_s,
                                       const std::optional<LocalField>& earth);

/// How far the sensor's clock is off, with its band: "+12 ppm (95 % band +9 to +15)".
std::string clock_words(const ClockFit& fit);

}  // namespace qn
