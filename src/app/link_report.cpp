// SPDX-License-Identifier: Apache-2.0
#include "app/link_report.h"

#include <fmt/format.h>

#include <cmath>

namespace qn {
namespace {

std::optional<double> latest(const QuantityWatch& watch) {
  return watch.any() ? std::optional{watch.last()} : std::nullopt;
}

SourceReport source_report(const std::string& name, const SourceHealth& health, double now_s) {
  SourceReport out;
  out.name = name;
  out.readings = health.readings();
  out.rate_Hz = health.rate_Hz(now_s);
  out.gaps = health.gaps();
  out.longest_gap_s = health.longest_gap_s();
  out.heading_deg = latest(health.heading());
  if (out.heading_deg) out.heading_noise_deg = health.heading().noise();
  out.current_A = latest(health.current());
  out.roll_deg = latest(health.roll());
  out.pitch_deg = latest(health.pitch());
  if (!health.has_field()) return out;
  out.field = Vector3{};
  for (std::size_t axis = 0; axis < 3; ++axis) {
    (*out.field)[axis] = health.field()[axis].last();
    out.noise[axis] = health.field()[axis].noise();
  }
  out.field_unit = health.field_unit();
  out.strength = health.total().median();
  return out;
}

}  // namespace

LinkReport link_report(const LinkReceiver& receiver, double now_s,
                       const std::optional<LocalField>& earth) {
  LinkReport report;
  report.link = receiver.description().link;
  report.address = receiver.description().address;
  report.connected = receiver.connected();
  report.ended = receiver.ended();
  report.times_lost = receiver.times_lost();
  report.silent_s = now_s - receiver.last_bytes_s();
  report.tally = receiver.tally();
  for (const auto& [name, health] : receiver.sources()) {
    // A replay is over when its last bytes came, whatever the clock says since.
    const double until_s = receiver.ended() ? health.last_arrival_s() : now_s;
    report.sources.push_back(source_report(name, health, until_s));
    report.sources.back().clock = receiver.timer().clock_of(name);
  }
  report.wrong = what_is_wrong(receiver, now_s, earth);
  return report;
}

std::vector<LinkReport> link_reports(const LiveLinks& live, double now_s,
                                     const std::optional<LocalField>& earth) {
  std::vector<LinkReport> reports;
  for (std::size_t link = 1; link <= live.size(); ++link) {
    reports.push_back(link_report(live.receiver(link), now_s, earth));
  }
  return reports;
}

std::string clock_words(const ClockFit& fit) {
  // The fit says by how much the sensor's second is longer; a clock that is off by that runs slow.
  // Zero is added so that nothing is off by "-0".
  const auto ppm = [](double drift) { return std::nearbyint(drift * -1e6) + 0.0; };
  return fmt::format("{:+.0f} ppm (95 % band {:+.0f} to {:+.0f})", ppm(fit.drift),
                     ppm(fit.drift_95[1]), ppm(fit.drift_95[0]));
}

}  // namespace qn
