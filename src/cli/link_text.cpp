// SPDX-License-Identifier: Apache-2.0
#include "cli/link_text.h"

#include <fmt/format.h>

#include "app/utc_now.h"
#include "cli/folded_text.h"

namespace qn {
namespace {

constexpr std::size_t kIndent = 4;

std::string indented(const std::string& text, const char* first) {
  const std::string folded_text = folded(text, kTerminalColumns - kIndent);
  std::string out = fmt::format("{:<4}", first);
  for (const char c : folded_text) {
    out += c;
    if (c == '\n') out += std::string(kIndent, ' ');
  }
  return out + "\n";
}

std::string state_of(const LinkReport& link) {
  if (link.ended) return "ended";
  if (link.connected) return "connected";
  return link.times_lost > 0 ? "gone" : "waiting";
}

std::string field_line(const SourceReport& s, const std::optional<LocalField>& earth) {
  const char* unit = s.field_unit == FieldUnit::counts ? "counts" : "uT";
  std::string line = fmt::format(
      "    field {:.3f} {:.3f} {:.3f} {}, noise {:.2g} {:.2g} {:.2g}\n    strength {:.2f} {}",
      (*s.field)[0], (*s.field)[1], (*s.field)[2], unit, s.noise[0], s.noise[1], s.noise[2],
      *s.strength, unit);
  if (earth && s.field_unit == FieldUnit::microtesla) {
    line += fmt::format("; the Earth's here {:.2f}", earth->total_uT());
  }
  return line + "\n";
}

std::string clock_line(const ClockFit& fit) {
  return fmt::format(
      "    its clock {:+.0f} ppm (95 % {:+.0f} to {:+.0f}); arrivals {:.1f} ms late, "
      "1 in 20 {:.1f}\n",
      -fit.drift * 1e6, -fit.drift_95[1] * 1e6, -fit.drift_95[0] * 1e6, fit.delay_median_s * 1e3,
      fit.delay_95_s * 1e3);
}

std::string source_text(const SourceReport& s, const std::optional<LocalField>& earth) {
  std::string text =
      fmt::format("  {:<10} {:>7.2f} Hz, {} readings", s.name, s.rate_Hz, s.readings);
  if (s.gaps > 0) text += fmt::format(", {} pauses, longest {:.1f} s", s.gaps, s.longest_gap_s);
  text += "\n";
  if (s.field) text += field_line(s, earth);
  std::string more;
  if (s.heading_deg) {
    more +=
        fmt::format("heading {:05.1f} deg, noise {:.2f}; ", *s.heading_deg, *s.heading_noise_deg);
  }
  if (s.roll_deg) more += fmt::format("roll {:.1f}; ", *s.roll_deg);
  if (s.pitch_deg) more += fmt::format("pitch {:.1f}; ", *s.pitch_deg);
  if (s.current_A) more += fmt::format("current {:.2f} A; ", *s.current_A);
  if (!more.empty()) text += "    " + more.substr(0, more.size() - 2) + "\n";
  if (s.clock.fit) text += clock_line(*s.clock.fit);
  return text;
}

std::string tally_text(const DecoderTally& t) {
  const std::uint64_t away = t.half_lines + t.bad_checksum + t.not_understood + t.too_long;
  return fmt::format("  {} bytes, {} lines: {} read, {} of no use here, {} thrown away\n", t.bytes,
                     t.lines, t.readings, t.quiet_lines + t.unnamed_lines, away);
}

}  // namespace

std::string links_text(const LinksDocument& document) {
  std::string text;
  for (const LinkReport& link : document.links) {
    text += folded(fmt::format("Link {}  {}  {}", link.link, link.address, state_of(link))) + "\n";
    text += tally_text(link.tally);
    for (const SourceReport& source : link.sources) text += source_text(source, document.earth);
    for (const std::string& sentence : link.wrong) text += indented(sentence, "  !");
    if (link.wrong.empty()) text += "  Nothing seems wrong.\n";
    text += "\n";
  }
  if (document.utc_at_zero_s) {
    text += fmt::format("Second 0 is {}, by satellite.\n", utc_text(*document.utc_at_zero_s));
  }
  return text;
}

std::string link_list_text(const LinkList& list) {
  std::string text;
  for (const SerialPort& port : list.ports) {
    text += port.path;
    if (port.path != port.device) text += "  (" + port.device + ")";
    text += "\n";
    if (!port.readable) {
      text += indented(fmt::format("You may not read it; the group {0} may: sudo usermod -aG {0} "
                                   "$USER, then log out and in again.",
                                   port.group),
                       "  !");
    }
  }
  for (const IioSensor& sensor : list.sensors) {
    text += fmt::format("iio:{}  (chip {})\n", sensor.id, sensor.chip);
  }
  if (text.empty()) {
    text = folded(
               "No serial port and no industrial-I/O magnetometer is there. Plug the sensor in, or "
               "try 'quietnorth link simulate'.") +
           "\n";
  }
  text += "\n" +
          folded(
              "Further links: udp:PORT, tcp:HOST:PORT, stdin, typed, replay:FILE@SPEED. A "
              "name in /dev/serial/by-id stays the same wherever the sensor is plugged in; "
              "write @SPEED after a port, for example @38400.") +
          "\n";
  return text;
}

std::string decoded_log_text(const DecodedLog& log, const std::string& path) {
  std::string text =
      fmt::format("{}: {} rows of link {} ('{}')\n", path, log.rows, log.link, log.source);
  for (const std::string& remark : log.remarks) text += folded(remark) + "\n";
  return text;
}

}  // namespace qn
