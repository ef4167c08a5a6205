// SPDX-License-Identifier: Apache-2.0
#include <fmt/core.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "estimation/gaussian_draws.h"
#include "procedure/sensor_checks_internal.h"

namespace qn::sensor_model {
namespace {

constexpr std::array<const char*, 3> kAxisName{"x", "y", "z"};

struct Extent {
  double low, high;
  double size() const { return high - low; }
};

Extent extent_of(const std::vector<double>& values, std::size_t begin, std::size_t end) {
  const auto first = values.begin() + static_cast<std::ptrdiff_t>(begin);
  const auto [lo, hi] =
      std::minmax_element(first, values.begin() + static_cast<std::ptrdiff_t>(end));
  return {*lo, *hi};
}

struct Rail {
  std::size_t begin = 0, end = 0;
};

// Of a stretch from the middle: a coarse sensor's step shows in any few thousand samples.
double smallest_step(const std::vector<double>& all) {
  constexpr std::size_t kEnough = 20000;
  const std::size_t count = std::min(all.size(), kEnough);
  const auto first = all.begin() + static_cast<std::ptrdiff_t>((all.size() - count) / 2);
  std::vector<double> values(first, first + static_cast<std::ptrdiff_t>(count));
  std::sort(values.begin(), values.end());
  double step = values.back() - values.front();
  for (std::size_t k = 1; k < values.size(); ++k) {
    if (values[k] > values[k - 1]) step = std::min(step, values[k] - values[k - 1]);
  }
  return step;
}

// How far another axis may move while a coarse sensor sits on the round top of a turn: within one
// step q of the top of a swing of size A the turn is 2 sqrt(2 q / A) long. Twice that and more is
// no longer a round top.
double natural_top(const SensorRecording& log, std::size_t axis, double widest) {
  const Extent extent = extent_of(log.field[axis], 0, log.size());
  const double step = smallest_step(log.field[axis]);
  if (extent.size() <= 40.0 * step) return 2.0 * widest;  // too coarse to tell a top from a rail
  return std::max(0.1, 2.2 * std::sqrt(4.0 * step / extent.size())) * widest;
}

// The longest run of samples that sit exactly on `value` while another axis keeps moving. At rest
// a coarse sensor sits on one number too, but then everything else is at rest as well.
Rail longest_run(const SensorRecording& log, std::size_t axis, double value, double moving) {
  Rail best;
  const std::vector<double>& v = log.field[axis];
  for (std::size_t k = 0; k < v.size();) {
    if (v[k] != value) {
      ++k;
      continue;
    }
    std::size_t end = k;
    while (end < v.size() && v[end] == value) ++end;
    double moved = 0.0;
    for (std::size_t other = 0; other < 3; ++other) {
      if (other != axis) moved = std::max(moved, extent_of(log.field[other], k, end).size());
    }
    if (moved > moving && end - k > best.end - best.begin) best = {k, end};
    k = end;
  }
  return best;
}

struct UnitGuess {
  double factor;  // reading for one microtesla
  const char* name;
  const char* suffix;
};
constexpr std::array<UnitGuess, 4> kUnits{{{1000.0, "nanotesla", "field_x_nT"},
                                           {10.0, "milligauss", "field_x_mG"},
                                           {0.01, "gauss", "field_x_G"},
                                           {0.001, "millitesla", "field_x_mT"}}};

}  // namespace

std::optional<Error> check_alive(const SensorRecording& log) {
  if (log.size() < 2) {
    return Error{
        ErrorKind::BadInput,
        fmt::format("the recording has {} usable sample{}", log.size(), log.size() == 1 ? "" : "s"),
        "the sensor log", "a recording of a minute or more while the sensor is turned",
        "record again; turn the sensor through all headings while it records"};
  }
  double moved = 0.0;
  for (const auto& axis : log.field)
    moved = std::max(moved, extent_of(axis, 0, axis.size()).size());
  if (moved > 0.0) return std::nullopt;
  return Error{ErrorKind::BadInput,
               fmt::format("all {} samples are the same: {:g}, {:g}, {:g}", log.size(),
                           log.field[0][0], log.field[1][0], log.field[2][0]),
               "the sensor log", "readings that change when the sensor is turned",
               "check the sensor's cable and the logger, then record again"};
}

std::optional<Error> check_rails(const SensorRecording& log) {
  double widest = 0.0;
  for (const auto& axis : log.field) {
    widest = std::max(widest, extent_of(axis, 0, axis.size()).size());
  }
  for (std::size_t axis = 0; axis < 3; ++axis) {
    const Extent extent = extent_of(log.field[axis], 0, log.size());
    const double moving = natural_top(log, axis, widest);
    for (const double rail : {extent.low, extent.high}) {
      const Rail run = longest_run(log, axis, rail, moving);
      if (run.end - run.begin < 5) continue;
      return Error{
          ErrorKind::BadInput,
          fmt::format("field {} stays at exactly {:g} for {} samples from {:.1f} s while the other "
                      "axes move: the sensor is clipped at its rail",
                      kAxisName[axis], rail, run.end - run.begin, log.time_s[run.begin]),
          fmt::format("the sensor log, column field {}, {:.1f} s to {:.1f} s", kAxisName[axis],
                      log.time_s[run.begin], log.time_s[run.end - 1]),
          "readings that stay below the sensor's range in every direction",
          "choose a wider range of the sensor, or move it away from the iron beside it, and record "
          "again"};
    }
  }
  return std::nullopt;
}

std::optional<Error> check_unit(const SensorRecording& log, const Spread& spread, double horizontal,
                                double total) {
  if (log.unit != FieldUnit::microtesla) return std::nullopt;
  double found = spread.radius;
  double expected = spread.kind == Spread::Kind::level_turn ? horizontal : total;
  if (spread.kind == Spread::Kind::still || spread.kind == Spread::Kind::short_arc) {
    std::vector<double> sizes;
    const std::size_t stride = std::max<std::size_t>(1, log.size() / 20000);
    for (std::size_t k = 0; k < log.size(); k += stride) {
      sizes.push_back(std::hypot(log.field[0][k], log.field[1][k], log.field[2][k]));
    }
    found = quantile(sizes, 0.5);
    expected = total;
  }
  const double ratio = found / expected;
  const bool turned =
      spread.kind == Spread::Kind::level_turn || spread.kind == Spread::Kind::tumble;
  const double allowed = turned ? 2.0 : 5.0;  // at rest hard iron hides the Earth's part
  if (ratio > 1.0 / allowed && ratio < allowed) return std::nullopt;
  std::string guess = "no unit in use fits these numbers";
  std::string remedy =
      "check the place and the unit of the columns; raw numbers of a sensor go into columns "
      "field_x_raw, field_y_raw, field_z_raw, and the scale is then solved";
  for (const UnitGuess& unit : kUnits) {
    if (std::abs(std::log(ratio / unit.factor)) < std::log(turned ? 1.7 : 2.5)) {
      guess = fmt::format("they look like {}", unit.name);
      remedy =
          fmt::format("name the columns {} and so on (or --map {}=COLUMN), and read the log again",
                      unit.suffix, unit.suffix);
    }
  }
  return Error{
      ErrorKind::BadInput,
      fmt::format("the field in this recording is {:.6g} where the Earth's is {:.1f} µT; {}", found,
                  expected, guess),
      "the sensor log, columns field_x_uT, field_y_uT, field_z_uT",
      fmt::format("readings in microtesla, near {:.1f} µT{}", expected,
                  turned ? " once the middle is taken out" : ""),
      remedy};
}

}  // namespace qn::sensor_model
