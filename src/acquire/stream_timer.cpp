// SPDX-License-Identifier: Apache-2.0
#include "acquire/stream_timer.h"

#include <algorithm>
#include <cmath>
#include <utility>

namespace qn {
namespace {

constexpr std::size_t kArrivalsKept = 64;
constexpr std::size_t kMostSourcesTimed = 64;
constexpr double kLeast_s = 1e-6;  // between two readings of a source: a recording's resolution

}  // namespace

double StreamTimer::own_time(Source& source, double sensor_s, double arrival_s) {
  if (source.clock.arrivals() > 0) {
    const double step = sensor_s - source.last_sensor_s;
    const bool back = step < 0.0;
    const bool jump = step - (arrival_s - source.last_arrival_s) > kClockJump_s;
    source.went_back += back ? 1 : 0;
    source.jumped += !back && jump ? 1 : 0;
    if (back || jump) source.clock = ClockEstimate{};
  }
  source.clock.add(sensor_s, arrival_s);
  source.last_sensor_s = sensor_s;
  ++source.own_times;
  return source.clock.recording_time_s(sensor_s);
}

double StreamTimer::spread_time(const Source& source, double arrival_s,
                                std::uint64_t still_to_come) {
  if (still_to_come == 0 || source.arrivals.size() < 2) return arrival_s;
  const double usual = (source.arrivals.back() - source.arrivals.front()) /
                       static_cast<double>(source.arrivals.size() - 1);
  const double room = (arrival_s - source.last_arrival_s) / static_cast<double>(source.here);
  return arrival_s - static_cast<double>(still_to_come) * std::min(usual, room);
}

void StreamTimer::stamp(std::vector<LinkReading>&& readings, double arrival_s,
                        std::vector<TimedReading>& out) {
  // Names come from the bytes: noise must not fill the memory.
  const auto key_of = [this](const LinkReading& r) {
    const bool room = sources_.size() < kMostSourcesTimed || sources_.count(r.source) != 0;
    return room ? r.source : std::string{"others"};
  };
  for (const LinkReading& r : readings) ++sources_[key_of(r)].here;
  std::map<std::string, std::uint64_t> done;
  for (LinkReading& r : readings) {
    const std::string key = key_of(r);
    Source& source = sources_[key];
    const std::uint64_t still_to_come = source.here - ++done[key];
    double time_s = std::isfinite(r.sensor_time_s) ? own_time(source, r.sensor_time_s, arrival_s)
                                                   : spread_time(source, arrival_s, still_to_come);
    if (source.any) time_s = std::max(time_s, source.last_time_s + kLeast_s);
    source.any = true;
    source.last_time_s = time_s;
    if (std::isfinite(r.utc_s)) {
      const bool broken =
          utc_.arrivals() > 0 && (r.utc_s < last_utc_s_ || r.utc_s - last_utc_s_ > 86400.0);
      if (broken) utc_ = ClockEstimate{};
      utc_.add(r.utc_s, arrival_s);
      last_utc_s_ = r.utc_s;
    }
    out.push_back({time_s, arrival_s, std::move(r)});
  }
  for (auto& [name, source] : sources_) {
    if (source.here == 0) continue;
    for (; source.here > 0; --source.here) source.arrivals.push_back(arrival_s);
    while (source.arrivals.size() > kArrivalsKept) source.arrivals.pop_front();
    source.last_arrival_s = arrival_s;
  }
}

SourceClock StreamTimer::clock_of(const std::string& name) const {
  const auto found = sources_.find(name);
  if (found == sources_.end()) return {};
  const Source& source = found->second;
  return {source.own_times > 0, source.went_back, source.jumped,
          source.own_times > 0 ? source.clock.fit() : std::nullopt};
}

std::optional<double> StreamTimer::utc_at_zero_s() const {
  if (utc_.arrivals() == 0) return std::nullopt;
  return last_utc_s_ - utc_.recording_time_s(last_utc_s_);
}

}  // namespace qn
