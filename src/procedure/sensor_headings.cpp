// SPDX-License-Identifier: Apache-2.0
#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "estimation/gaussian_draws.h"
#include "procedure/sensor_headings_internal.h"
#include "vocab/heading.h"

namespace qn::sensor_model {
namespace {

constexpr double kRad = std::numbers::pi / 180.0;
constexpr double kShortestStop_s = 3.0;
constexpr double kWindow_s = 0.5;  // around a known time

double finite_or_zero(double v) { return std::isfinite(v) ? v : 0.0; }

// Mean reading over samples [begin, end) that were not rejected.
std::optional<HeadingFix> fix_of(const Log& log, std::size_t begin, std::size_t end,
                                 const NoiseModel& noise) {
  HeadingFix fix;
  std::size_t n = 0;
  std::size_t with_attitude = 0;
  for (std::size_t k = begin; k < end; ++k) {
    if (!log.use[k]) continue;
    for (std::size_t i = 0; i < 3; ++i) fix.m[i] += log.m[i][k];
    if (log.attitude == Attitude::logged && std::isfinite(log.roll_rad[k])) {
      fix.roll_rad += log.roll_rad[k];
      fix.pitch_rad += log.pitch_rad[k];
      ++with_attitude;
    }
    ++n;
  }
  if (n == 0) return std::nullopt;
  for (double& component : fix.m) component /= static_cast<double>(n);
  if (with_attitude > 0) {
    fix.roll_rad /= static_cast<double>(with_attitude);
    fix.pitch_rad /= static_cast<double>(with_attitude);
  }
  const double interval =
      n > 1 ? (log.time_s[end - 1] - log.time_s[begin]) / static_cast<double>(end - 1 - begin)
            : 0.0;
  fix.variance_m = noise.variance_of_mean(n, interval);
  return fix;
}

Error left_handed() {
  return Error{
      ErrorKind::BadInput,
      "the readings turn the other way round than the stations: the axes are left-handed",
      "the sensor log against the stations file",
      "right-handed axes, x forward, y right, z down; stations in the order they were "
      "visited",
      "check the signs of the columns and the order of the stations; --mount can only turn "
      "axes, not mirror them"};
}

std::string list_of(const std::vector<std::string>& items) {
  std::string out;
  for (const std::string& item : items) out += (out.empty() ? "" : ", ") + item;
  return out;
}

std::optional<Error> add_stations(const Prepared& prepared, const SensorFitOptions& options,
                                  const Solution& first, const std::vector<double>& heading,
                                  KnownHeadings& out, std::vector<std::string>& notes) {
  // A sample's heading wavers by its noise over H; the stops are looked for well above that.
  const double noise_deg = first.size_noise.sigma() / options.earth.horizontal_uT / kRad / 3.0;
  const std::vector<Stop> stops =
      find_stops(prepared.log.time_s, heading, noise_deg, kShortestStop_s);
  std::vector<double> stop_deg;
  std::vector<double> row_deg;
  stop_deg.reserve(stops.size());
  row_deg.reserve(options.stations.size());
  for (const Stop& stop : stops) stop_deg.push_back(stop.heading_deg);
  for (const Station& row : options.stations) row_deg.push_back(row.station_deg);
  const StationAlignment match = align_stations(stop_deg, row_deg);
  if (match.backwards) return left_handed();

  std::vector<std::string> missing;
  std::vector<double> turns_sin, turns_cos;
  for (std::size_t r = 0; r < options.stations.size(); ++r) {
    StationMatch row{options.stations[r].station_deg, {}, {}, {}};
    const auto stop = match.stop_of_row[r];
    auto fix = stop ? fix_of(prepared.log, stops[*stop].begin, stops[*stop].end, first.size_noise)
                    : std::nullopt;
    if (fix) {
      row.from_s = prepared.log.time_s[stops[*stop].begin];
      row.to_s = prepared.log.time_s[stops[*stop].end - 1];
      fix->heading_rad = row.station_deg * kRad;
      out.fixes.push_back(*fix);
    } else {
      missing.push_back(fmt::format("{:03.0f}", row.station_deg));
    }
    out.stations.push_back(row);
  }
  if (out.fixes.empty()) {
    return Error{ErrorKind::BadInput,
                 fmt::format("{} stops were found in the recording and none fits the {} stations",
                             stops.size(), options.stations.size()),
                 "the stations file against the sensor log",
                 "a recording in which the aircraft stands at least 3 s on each station, in the "
                 "order of the file",
                 "check the order and the headings of the stations, and that the log is the one of "
                 "this swing"};
  }
  if (!missing.empty()) {
    notes.push_back(
        fmt::format("No stop was found for station {}; the others are used.", list_of(missing)));
  }
  if (!match.extra_stops.empty()) {
    std::vector<std::string> when;
    when.reserve(match.extra_stops.size());
    for (const std::size_t s : match.extra_stops) {
      when.push_back(fmt::format("{:.0f} s", prepared.log.time_s[stops[s].begin]));
    }
    notes.push_back(fmt::format("{} stop{} that no station asks for, at {}: not used as a heading.",
                                when.size(), when.size() == 1 ? "" : "s", list_of(when)));
  }
  if (match.ambiguous) {
    notes.push_back(
        "The stops fit the stations almost as well one place further along: check that the sensor "
        "is mounted as stated.");
  }
  return std::nullopt;
}

std::optional<Error> add_known_times(const Prepared& prepared, const SensorFitOptions& options,
                                     const Solution& first, KnownHeadings& out) {
  const std::vector<double>& t = prepared.log.time_s;
  for (const KnownHeading& known : options.known_headings) {
    const auto begin = std::lower_bound(t.begin(), t.end(), known.time_s - kWindow_s) - t.begin();
    const auto end = std::upper_bound(t.begin(), t.end(), known.time_s + kWindow_s) - t.begin();
    auto fix = begin < end ? fix_of(prepared.log, static_cast<std::size_t>(begin),
                                    static_cast<std::size_t>(end), first.size_noise)
                           : std::nullopt;
    if (!fix) {
      return Error{
          ErrorKind::BadInput,
          fmt::format("there is no usable sample within half a second of {:g} s", known.time_s),
          "option '--known-heading'",
          fmt::format("a time between {:.1f} s and {:.1f} s at which the aircraft stood "
                      "still and undisturbed",
                      t.front(), t.back()),
          "give the time in seconds from the start of the recording"};
    }
    fix->heading_rad = known.heading_deg * kRad;
    out.fixes.push_back(*fix);
  }
  return std::nullopt;
}

}  // namespace

std::vector<double> headings_deg(const Log& log, const Layout& layout, const Parameters& theta) {
  const Matrix3 M = matrix_of(layout, theta);
  const Vector3 b = offset_of(layout, theta);
  std::vector<double> out(log.size());
  for (std::size_t k = 0; k < log.size(); ++k) {
    Vector3 x{};
    for (std::size_t i = 0; i < 3; ++i) {
      x[i] = M[i][0] * log.m[0][k] + M[i][1] * log.m[1][k] + M[i][2] * log.m[2][k] - b[i];
    }
    const bool logged = log.attitude == Attitude::logged;
    const double roll = logged ? finite_or_zero(log.roll_rad[k]) : 0.0;
    const double pitch = logged ? finite_or_zero(log.pitch_rad[k]) : 0.0;
    out[k] = wrap_360_deg(heading_of_rad(x, roll, pitch) / kRad);
  }
  return out;
}

Result<KnownHeadings> find_headings(const Prepared& prepared, const SensorFitOptions& options,
                                    const Problem& problem, const Solution& first,
                                    std::vector<std::string>& notes) {
  KnownHeadings out;
  if (!options.stations.empty()) {
    const std::vector<double> heading = headings_deg(prepared.log, problem.layout, first.theta);
    if (auto error = add_stations(prepared, options, first, heading, out, notes)) return *error;
  }
  if (auto error = add_known_times(prepared, options, first, out)) return *error;
  double s = 0.0;
  double c = 0.0;
  for (const HeadingFix& fix : out.fixes) {
    const double off =
        heading_residual_rad(fix, problem.layout, first.theta, prepared.log.attitude);
    s += std::sin(off);
    c += std::cos(off);
  }
  if (!out.fixes.empty()) out.turn_rad = std::atan2(s, c);
  return out;
}

void turn_fixes(std::vector<HeadingFix>& fixes, double turn) {
  for (HeadingFix& fix : fixes) {
    const double x = fix.m[0];
    const double y = fix.m[1];
    fix.m[0] = std::cos(turn) * x - std::sin(turn) * y;
    fix.m[1] = std::sin(turn) * x + std::cos(turn) * y;
  }
}

}  // namespace qn::sensor_model
