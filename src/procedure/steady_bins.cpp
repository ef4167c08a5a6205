// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <numbers>
#include <optional>

#include "procedure/steady_bins_internal.h"
#include "vocab/heading.h"

namespace qn {
namespace {

constexpr double kBinRad = std::numbers::pi / 180.0;
// Wander of a leg flown by hand, and what another change must be worth.
constexpr double kWander_deg = 1.5, kWander_kt = 1.5, kChangeCosts = 12.0;

/// Sums for the mean of one bin.
struct BinSums {
  double sine = 0.0, cosine = 0.0, east = 0.0, north = 0.0, roll = 0.0, tas = 0.0;
  std::size_t headings = 0, velocities = 0, rolls = 0, airspeeds = 0;
};

std::optional<FlightBin> bin_of(const BinSums& s, double from_s, double to_s) {
  if (s.headings == 0 || s.velocities == 0) return std::nullopt;
  constexpr double kNone = std::numeric_limits<double>::quiet_NaN();
  FlightBin out;
  out.from_s = from_s;
  out.to_s = to_s;
  out.heading_deg = std::atan2(s.sine, s.cosine) / kBinRad;
  out.east_kt = s.east / static_cast<double>(s.velocities);
  out.north_kt = s.north / static_cast<double>(s.velocities);
  out.roll_deg = s.rolls > 0 ? s.roll / static_cast<double>(s.rolls) : kNone;
  out.tas_kt = s.airspeeds > 0 ? s.tas / static_cast<double>(s.airspeeds) : kNone;
  return out;
}

void add_row(BinSums& s, const FlightLog& log, std::size_t i) {
  if (std::isfinite(log.indicated_deg[i])) {
    s.sine += std::sin(log.indicated_deg[i] * kBinRad);
    s.cosine += std::cos(log.indicated_deg[i] * kBinRad);
    ++s.headings;
  }
  if (std::isfinite(log.track_deg[i]) && std::isfinite(log.groundspeed_kt[i])) {
    s.east += log.groundspeed_kt[i] * std::sin(log.track_deg[i] * kBinRad);
    s.north += log.groundspeed_kt[i] * std::cos(log.track_deg[i] * kBinRad);
    ++s.velocities;
  }
  if (std::isfinite(log.roll_deg[i])) {
    s.roll += log.roll_deg[i];
    ++s.rolls;
  }
  if (std::isfinite(log.tas_kt[i])) {
    s.tas += log.tas_kt[i];
    ++s.airspeeds;
  }
}

void append(std::vector<FlightRun>& runs, FlightBin bin) {
  const bool joins = !runs.empty() && bin.from_s - runs.back().bins.back().to_s < kLongestGap_s;
  if (!joins) runs.emplace_back();
  if (joins) {
    const double before = runs.back().bins.back().heading_deg;
    bin.heading_deg = before + wrap_180_deg(bin.heading_deg - before);
  }
  runs.back().bins.push_back(bin);
}

/// Sum of squares about the mean of any stretch, in units of the usual wander.
class StretchCost {
 public:
  explicit StretchCost(const FlightRun& run) : sums_(run.bins.size() + 1) {
    for (std::size_t i = 0; i < run.bins.size(); ++i) {
      const FlightBin& b = run.bins[i];
      const FlightBin& first = run.bins.front();
      const std::array<double, 3> x = {(b.heading_deg - first.heading_deg) / kWander_deg,
                                       (b.east_kt - first.east_kt) / kWander_kt,
                                       (b.north_kt - first.north_kt) / kWander_kt};
      sums_[i + 1] = sums_[i];
      for (std::size_t k = 0; k < 3; ++k) {
        sums_[i + 1][k] += x[k];
        sums_[i + 1][3] += x[k] * x[k];
      }
    }
  }
  double operator()(std::size_t from, std::size_t to) const {
    double out = sums_[to][3] - sums_[from][3];
    for (std::size_t k = 0; k < 3; ++k) {
      const double sum = sums_[to][k] - sums_[from][k];
      out -= sum * sum / static_cast<double>(to - from);
    }
    return out;
  }

 private:
  std::vector<std::array<double, 4>> sums_;
};

}  // namespace

double FlightBin::speed_kt() const { return std::hypot(east_kt, north_kt); }

void FlightLog::add(double time, double indicated, double track, double speed, double roll,
                    double tas) {
  time_s.push_back(time);
  indicated_deg.push_back(indicated);
  track_deg.push_back(track);
  groundspeed_kt.push_back(speed);
  roll_deg.push_back(roll);
  tas_kt.push_back(tas);
}

std::vector<FlightRun> bins_of(const FlightLog& log) {
  std::vector<FlightRun> runs;
  std::size_t i = 0;
  while (i < log.size()) {
    const double first = log.time_s[i];
    BinSums sums;
    double last = first;
    for (; i < log.size() && log.time_s[i] < first + kFlightBin_s; ++i) {
      add_row(sums, log, i);
      last = log.time_s[i];
    }
    // A bin reaches to the next row, or two seconds where that is far.
    const double to = i < log.size() ? std::min(log.time_s[i], first + kFlightBin_s) : last;
    if (const auto bin = bin_of(sums, first, to)) append(runs, *bin);
  }
  return runs;
}

// The optimal partition with pruning (a start that is already worse than the best by more than a
// change costs can never be best again).
std::vector<std::size_t> change_points(const FlightRun& run) {
  const StretchCost cost{run};
  const std::size_t n = run.bins.size();
  std::vector<double> best(n + 1, 0.0);
  std::vector<std::size_t> from(n + 1, 0);
  std::vector<std::size_t> starts;
  best[0] = -kChangeCosts;
  for (std::size_t to = 1; to <= n; ++to) {
    starts.push_back(to - 1);
    best[to] = std::numeric_limits<double>::infinity();
    for (const std::size_t s : starts) {
      const double total = best[s] + cost(s, to) + kChangeCosts;
      if (total < best[to]) {
        best[to] = total;
        from[to] = s;
      }
    }
    std::erase_if(starts, [&](std::size_t s) { return best[s] + cost(s, to) > best[to]; });
  }
  std::vector<std::size_t> out{n};
  while (out.back() != 0) out.push_back(from[out.back()]);
  std::reverse(out.begin(), out.end());
  return out;
}

}  // namespace qn
