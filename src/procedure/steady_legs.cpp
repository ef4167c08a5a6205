// SPDX-License-Identifier: Apache-2.0
#include "procedure/steady_legs.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "procedure/steady_bins_internal.h"
#include "vocab/heading.h"

namespace qn {
namespace {

constexpr double kRate_most_kt_per_s = 0.2;
constexpr double kSame_kt = 6.0;  // stretches further apart are two legs
constexpr double kHolds_s = 6.0;  // shorter ones are parts of a turn
constexpr double kWander_most_deg = 4.5, kDrift_most_deg = 6.0;
constexpr double kWander_most_kt = 4.0, kDrift_most_kt = 6.0;
constexpr double kBanked_deg = 5.0;
constexpr double kSlowest_kt = 25.0;
constexpr double kOneLeg_deg = 8.0;  // steady neighbours closer than this are one leg
constexpr double kGlimpse_s = 15.0;  // a straight shorter than this is part of what is around it

enum class Kind { steady, short_one, turning, speed, banked, slow, gap };

struct Piece {
  double from_s = 0.0, to_s = 0.0;
  Kind kind = Kind::steady;
  std::vector<FlightBin> bins;
  std::string why_not;
};

struct Line {
  double mean = 0.0, scatter = 0.0, drift = 0.0;
};

template <class Value>
Line line_of(const std::vector<FlightBin>& bins, Value value) {
  Line out;
  const double n = static_cast<double>(bins.size());
  double time = 0.0;
  for (const FlightBin& b : bins) {
    out.mean += value(b) / n;
    time += b.from_s / n;
  }
  double tt = 0.0;
  double tv = 0.0;
  for (const FlightBin& b : bins) {
    const double off = value(b) - out.mean;
    out.scatter += off * off / n;
    tt += (b.from_s - time) * (b.from_s - time);
    tv += (b.from_s - time) * off;
  }
  out.scatter = std::sqrt(out.scatter);
  if (tt > 0.0) out.drift = tv / tt * (bins.back().from_s - bins.front().from_s);
  return out;
}

Line heading_of(const Piece& p) {
  return line_of(p.bins, [](const FlightBin& b) { return b.heading_deg; });
}
Line speed_of(const Piece& p) {
  return line_of(p.bins, [](const FlightBin& b) { return b.speed_kt(); });
}
Line roll_of(const Piece& p) {
  return line_of(p.bins, [](const FlightBin& b) { return b.roll_deg; });
}

bool holds_heading(const Piece& p) {
  const Line heading = heading_of(p);
  return heading.scatter <= kWander_most_deg && std::fabs(heading.drift) <= kDrift_most_deg;
}

// How far apart two stretches flew over the ground: a climb's end is slower than the leg after it.
double apart_kt(const Piece& a, const Piece& b) {
  const auto east = [](const FlightBin& x) { return x.east_kt; };
  const auto north = [](const FlightBin& x) { return x.north_kt; };
  return std::hypot(line_of(a.bins, east).mean - line_of(b.bins, east).mean,
                    line_of(a.bins, north).mean - line_of(b.bins, north).mean);
}

// The end of a climb, or of a turn flown too slowly.
bool speeds_up(const Piece& p) {
  return std::fabs(speed_of(p).drift) > kRate_most_kt_per_s * (p.to_s - p.from_s);
}

bool holds_speed(const Piece& p) {
  const Line speed = speed_of(p);
  return speed.scatter <= kWander_most_kt && std::fabs(speed.drift) <= kDrift_most_kt;
}

Piece joined(const Piece& a, const Piece& b) {
  Piece out = a;
  out.bins.insert(out.bins.end(), b.bins.begin(), b.bins.end());
  out.to_s = b.to_s;
  return out;
}

// Slow wander makes several pieces of one leg. The likest neighbours are put together as long as
// what comes of it is still steady.
void join_wander(std::vector<Piece>& pieces) {
  for (;;) {
    double least = kOneLeg_deg;
    std::size_t best = 0;
    for (std::size_t k = 1; k < pieces.size(); ++k) {
      const Piece& a = pieces[k - 1];
      const Piece& b = pieces[k];
      if (a.to_s - a.from_s < kHolds_s || b.to_s - b.from_s < kHolds_s) continue;
      const double apart = std::fabs(heading_of(a).mean - heading_of(b).mean);
      if (apart >= least || apart_kt(a, b) >= kSame_kt) continue;
      if (speeds_up(a) || speeds_up(b)) continue;
      const Piece both = joined(a, b);
      if (!holds_heading(both) || !holds_speed(both)) continue;
      least = apart;
      best = k;
    }
    if (best == 0) return;
    pieces[best - 1] = joined(pieces[best - 1], pieces[best]);
    pieces.erase(pieces.begin() + static_cast<std::ptrdiff_t>(best));
  }
}

std::vector<Piece> pieces_of(const FlightRun& run) {
  std::vector<Piece> out;
  const auto points = change_points(run);
  for (std::size_t k = 0; k + 1 < points.size(); ++k) {
    Piece piece;
    piece.bins.assign(run.bins.begin() + static_cast<std::ptrdiff_t>(points[k]),
                      run.bins.begin() + static_cast<std::ptrdiff_t>(points[k + 1]));
    piece.from_s = piece.bins.front().from_s;
    piece.to_s = piece.bins.back().to_s;
    out.push_back(std::move(piece));
  }
  join_wander(out);
  return out;
}

Kind kind_of(const Piece& p, const SteadyOptions& options) {
  if (speed_of(p).mean < kSlowest_kt) return Kind::slow;
  const double roll = roll_of(p).mean;
  if (std::isfinite(roll) && std::fabs(roll) > kBanked_deg) return Kind::banked;
  if (!holds_heading(p)) return Kind::turning;
  if (!holds_speed(p)) return Kind::speed;
  return p.to_s - p.from_s < options.least_s ? Kind::short_one : Kind::steady;
}

double range_of(const Piece& p, double (*value)(const FlightBin&)) {
  double least = value(p.bins.front());
  double most = least;
  for (const FlightBin& b : p.bins) {
    least = std::min(least, value(b));
    most = std::max(most, value(b));
  }
  return most - least;
}

std::string short_text(double lasts_s, const SteadyOptions& options) {
  return fmt::format("straight for {:.0f} s only, {:.0f} are needed", lasts_s, options.least_s);
}

std::string why_of(const Piece& p, const SteadyOptions& options) {
  switch (p.kind) {
    case Kind::gap:
      return fmt::format("no heading or ground velocity for {:.0f} s", p.to_s - p.from_s);
    case Kind::slow:
      return fmt::format("ground speed {:.0f} kt: on the ground or too slow", speed_of(p).mean);
    case Kind::banked: return fmt::format("banked {:.0f} deg", std::fabs(roll_of(p).mean));
    case Kind::speed:
      return fmt::format("ground speed changed by {:.0f} kt",
                         range_of(p, [](const FlightBin& x) { return x.speed_kt(); }));
    case Kind::short_one: return short_text(p.to_s - p.from_s, options);
    default: break;
  }
  return fmt::format("heading changed by {:.0f} deg",
                     std::fabs(p.bins.back().heading_deg - p.bins.front().heading_deg));
}

AirLeg leg_of(const Piece& p) {
  const Line tas = line_of(p.bins, [](const FlightBin& b) { return b.tas_kt; });
  const double east = line_of(p.bins, [](const FlightBin& b) { return b.east_kt; }).mean;
  const double north = line_of(p.bins, [](const FlightBin& b) { return b.north_kt; }).mean;
  AirLeg leg;
  leg.indicated_deg = wrap_360_deg(heading_of(p).mean);
  leg.track_deg = wrap_360_deg(std::atan2(east, north) * 180.0 / std::numbers::pi);
  leg.groundspeed_kt = std::hypot(east, north);
  if (std::isfinite(tas.mean)) leg.tas_kt = tas.mean;
  leg.from_s = p.from_s;
  leg.to_s = p.to_s;
  return leg;
}

bool unsteady(const Piece& p) {
  return p.kind == Kind::turning || p.kind == Kind::banked || p.kind == Kind::speed ||
         (p.kind == Kind::short_one && p.to_s - p.from_s < kGlimpse_s);
}

// Neighbours are one stretch to a reader where all are unsteady (a turn, a climb), and one leg
// where both are steady and nothing was turned between: its reading error is one error, not two.
void join_neighbours(std::vector<Piece>& pieces) {
  std::vector<Piece> out;
  for (Piece& p : pieces) {
    const bool steady = p.kind == Kind::steady;
    const bool same = !out.empty() &&
                      ((unsteady(p) && unsteady(out.back())) ||
                       (p.kind == out.back().kind && p.kind == Kind::slow) ||
                       (steady && out.back().kind == Kind::steady &&
                        std::fabs(heading_of(p).mean - heading_of(out.back()).mean) < kOneLeg_deg));
    if (!same) {
      out.push_back(std::move(p));
      continue;
    }
    Piece& last = out.back();
    last = joined(last, p);
    if (steady || p.kind == Kind::slow) continue;
    const double turned = range_of(last, [](const FlightBin& b) { return b.heading_deg; });
    const double faster = range_of(last, [](const FlightBin& b) { return b.speed_kt(); });
    last.kind = turned > kOneLeg_deg      ? Kind::turning
                : faster > kDrift_most_kt ? Kind::speed
                                          : Kind::short_one;
  }
  pieces = std::move(out);
}

// The start of a leg after anything unsteady goes to what was before it.
void let_settle(std::vector<Piece>& pieces, const SteadyOptions& options) {
  for (std::size_t k = 1; k < pieces.size(); ++k) {
    Piece& p = pieces[k];
    if (p.kind != Kind::steady || pieces[k - 1].kind == Kind::steady) continue;
    const double start = p.from_s + options.settle_s;
    while (!p.bins.empty() && p.bins.front().from_s < start) p.bins.erase(p.bins.begin());
    const double begins = p.bins.empty() ? p.to_s : p.bins.front().from_s;
    if (p.to_s - begins < options.least_s) {
      p.kind = Kind::short_one;
      p.why_not = short_text(p.to_s - begins, options);
    }
    pieces[k - 1].why_not += ", then left to settle";
    pieces[k - 1].to_s = begins;
    p.from_s = begins;
  }
}

}  // namespace

std::vector<FlightStretch> find_steady_legs(const FlightLog& log, const SteadyOptions& options) {
  std::vector<Piece> pieces;
  for (const FlightRun& run : bins_of(log)) {
    std::vector<Piece> more = pieces_of(run);
    for (Piece& p : more) p.kind = kind_of(p, options);
    join_neighbours(more);
    for (Piece& p : more) {
      if (p.kind != Kind::steady) p.why_not = why_of(p, options);
    }
    if (!pieces.empty()) {
      pieces.push_back({pieces.back().to_s, more.front().from_s, Kind::gap, {}, {}});
      pieces.back().why_not = why_of(pieces.back(), options);
    }
    pieces.insert(pieces.end(), more.begin(), more.end());
  }
  let_settle(pieces, options);
  std::vector<FlightStretch> out;
  for (const Piece& p : pieces) {
    FlightStretch s{p.from_s, p.to_s, p.kind == Kind::steady, "", {}};
    if (s.used) {
      s.leg = leg_of(p);
    } else {
      s.why_not = p.why_not;
    }
    out.push_back(std::move(s));
  }
  return out;
}

AirSolution nothing_steady(const std::vector<FlightStretch>& stretches,
                           const SteadyOptions& options) {
  AirSolution out;
  out.verdict.because = fmt::format(
      "no stretch of the flight is straight, level and at one speed for {:.0f} s", options.least_s);
  const auto longest = std::max_element(stretches.begin(), stretches.end(),
                                        [](const FlightStretch& a, const FlightStretch& b) {
                                          return a.to_s - a.from_s < b.to_s - b.from_s;
                                        });
  if (longest != stretches.end()) {
    out.verdict.because += fmt::format(" (the longest, {:.0f} to {:.0f} s: {})", longest->from_s,
                                       longest->to_s, longest->why_not);
  }
  out.verdict.do_next =
      "fly the legs that 'quietnorth air plan' prints, each held for a minute or two, or give the "
      "legs by hand (docs/formats/air-legs.md)";
  out.sentence = fmt::format("unproven; {}.", out.verdict.because);
  return out;
}

}  // namespace qn
