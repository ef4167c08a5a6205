// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <numbers>

#include "estimation/gaussian_draws.h"
#include "procedure/heading_display_internal.h"

namespace qn::heading_only {
namespace {

constexpr double kRadPerDeg = std::numbers::pi / 180.0;
constexpr double kShortest_s = 10.0;

double wrap_180(double deg) { return std::remainder(deg, 360.0); }

// Middle of headings, whichever way round north they lie.
double middle_heading(const std::vector<double>& headings) {
  double sine = 0.0;
  double cosine = 0.0;
  for (const double h : headings) {
    sine += std::sin(h * kRadPerDeg);
    cosine += std::cos(h * kRadPerDeg);
  }
  const double mean = std::atan2(sine, cosine) / kRadPerDeg;
  std::vector<double> off;
  for (const double h : headings) off.push_back(wrap_180(h - mean));
  const double middle = std::fmod(mean + quantile(off, 0.5) + 720.0, 360.0);
  return middle < 360.0 ? middle : 0.0;
}

// The largest step of which all readings are whole multiples, among those a display would use.
double printed_step(double heading_deg) {
  for (const double step : {1.0, 0.5, 0.1, 0.05, 0.01}) {
    const double ratio = heading_deg / step;
    if (std::abs(ratio - std::round(ratio)) < 1e-6) return step;
  }
  return 0.0;
}

double step_of(const std::vector<double>& readings) {
  std::vector<double> seen = readings;
  std::sort(seen.begin(), seen.end());
  seen.erase(std::unique(seen.begin(), seen.end(), [](double a, double b) { return b - a < 1e-7; }),
             seen.end());
  if (seen.size() < 2) return printed_step(seen.front());
  double step = 360.0;
  for (std::size_t k = 1; k < seen.size(); ++k) step = std::min(step, seen[k] - seen[k - 1]);
  for (const double h : seen) {
    const double ratio = (h - seen.front()) / step;
    if (std::abs(ratio - std::round(ratio)) > 0.05) return 0.0;
  }
  // Few figures seen: the display may know others between them, but it prints no finer ones.
  double printed = 1.0;
  for (const double h : seen) printed = std::min(printed, printed_step(h));
  return printed > 0.0 ? std::min(step, printed) : step;
}

// Noise of a reading before it is rounded, from neighbours; jumps are not noise.
double noise_before_rounding(const std::vector<double>& change_deg, double step) {
  std::vector<double> moves;
  for (std::size_t k = 1; k < change_deg.size(); ++k) {
    moves.push_back(std::abs(change_deg[k] - change_deg[k - 1]));
  }
  std::vector<double> sorted = moves;
  const double most = std::max(3.0 * step, 4.0 * quantile(sorted, 0.9));
  double sum = 0.0;
  double count = 0.0;
  for (const double move : moves) {
    if (move > most) continue;
    sum += move * move;
    count += 1.0;
  }
  const double variance = count > 0.0 ? 0.5 * sum / count : 0.0;
  return std::sqrt(std::max(0.0, variance - step * step / 12.0));
}

// The same numbers for the same log, evenly between -1/2 and 1/2 (Steele, Lea and Flood's
// splitmix64, OOPSLA 2014).
class EvenNoise {
 public:
  explicit EvenNoise(std::uint64_t stream) : state_{stream} {}
  double next() {
    state_ += 0x9e3779b97f4a7c15U;
    std::uint64_t z = state_;
    z = (z ^ (z >> 30U)) * 0xbf58476d1ce4e5b9U;
    z = (z ^ (z >> 27U)) * 0x94d049bb133111ebU;
    z ^= z >> 31U;
    return static_cast<double>(z >> 11U) / 9007199254740992.0 - 0.5;
  }

 private:
  std::uint64_t state_;
};

std::vector<double> readings_at_rest(const SensorRecording& log, const std::vector<Mark>& marks) {
  double first_mark_s = log.time_s.back();
  for (const Mark& mark : marks) {
    if (mark.time_s > log.time_s.front()) first_mark_s = std::min(first_mark_s, mark.time_s);
  }
  std::vector<double> out;
  constexpr double kEarly_s = 2.0;  // the first switch may lie before its mark
  for (std::size_t k = 0; k < log.size(); ++k) {
    if (log.time_s[k] < first_mark_s - kEarly_s) out.push_back(log.heading_deg[k]);
  }
  return out.size() >= 10 ? out : log.heading_deg;
}

SensorRecording readings_only(const SensorRecording& log) {
  SensorRecording out;
  for (std::size_t k = 0; k < log.heading_deg.size(); ++k) {
    if (!std::isfinite(log.heading_deg[k])) continue;
    out.time_s.push_back(log.time_s[k]);
    out.heading_deg.push_back(log.heading_deg[k]);
    if (!log.current_A.empty()) out.current_A.push_back(log.current_A[k]);
  }
  out.tally = log.tally;
  return out;
}

}  // namespace

double rounding_sigma(double step, double sigma) {
  if (!(step > 0.0)) return 0.0;
  // The rounding error over the level is a saw-tooth; noise takes each of its waves down.
  double variance = 0.0;
  for (int wave = 1; wave <= 50; ++wave) {
    const double k = wave;
    const double left = std::exp(-4.0 * std::pow(std::numbers::pi * k * sigma / step, 2));
    variance += 0.5 * std::pow(step / (std::numbers::pi * k), 2) * left;
  }
  return std::sqrt(variance);
}

Result<Display> read_display(const HeadingLog& given, double horizontal_uT, std::size_t number) {
  const std::string where =
      number == 1 ? "the sensor log" : fmt::format("log {}, the sensor log", number);
  SensorRecording log = readings_only(given.recording);
  const double lasts_s = log.size() > 1 ? log.time_s.back() - log.time_s.front() : 0.0;
  if (lasts_s < kShortest_s || log.size() < 40) {
    return Error{ErrorKind::BadInput,
                 fmt::format("the log lasts {:.1f} s and has {} headings", lasts_s, log.size()),
                 where, "at least 10 s and 40 readings, better many minutes",
                 "record the whole run, with half a minute of rest before and after it"};
  }
  Display out;
  const double rest = middle_heading(readings_at_rest(log, given.marks));
  out.log.shown_at_rest = Angle::degrees(rest);
  out.log.heading_from_display = !given.aircraft_heading_deg;
  out.log.aircraft_heading = Angle::degrees(given.aircraft_heading_deg.value_or(rest));
  const double step = step_of(log.heading_deg);
  out.log.step = Angle::degrees(step);
  std::vector<double> change_deg;
  for (const double h : log.heading_deg) change_deg.push_back(wrap_180(h - rest));
  const auto [least, most] = std::minmax_element(change_deg.begin(), change_deg.end());
  out.log.alive = *most > *least;
  const double noise_deg = noise_before_rounding(change_deg, step);
  out.rounding_rad = rounding_sigma(step, noise_deg) * kRadPerDeg;

  const double uT_per_deg = horizontal_uT * kRadPerDeg;
  // So fine a display that nothing is seen of its steps still has no less noise than this.
  const double even = std::max({step, noise_deg, 1e-4}) * uT_per_deg;
  EvenNoise added{0x71756965740000U + number};
  out.pseudo = std::move(log);
  out.pseudo.roll_deg.assign(out.pseudo.size(), 0.0);  // nothing is to be said of a tilt
  for (const double change : change_deg) {
    const double x = change * uT_per_deg;
    out.change_uT.push_back(x);
    out.pseudo.field[0].push_back(x + added.next() * step * uT_per_deg);
    out.pseudo.field[1].push_back(added.next() * even);
    out.pseudo.field[2].push_back(added.next() * even);
  }
  return out;
}

}  // namespace qn::heading_only
