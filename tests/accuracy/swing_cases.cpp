// SPDX-License-Identifier: Apache-2.0
#include "accuracy/swing_cases.h"

#include <array>
#include <cmath>

namespace qn::accuracy {
namespace {

constexpr std::array<double, 5> kRoundings_deg = {0.1, 0.5, 1.0, 2.0, 5.0};
constexpr std::array<std::size_t, 5> kStations = {8, 10, 12, 16, 24};

double wrapped(double deg) { return std::remainder(deg, 360.0); }

int swapped_digits(int whole, bool front) {
  const int a = whole / 100, b = whole / 10 % 10, c = whole % 10;
  return front ? 100 * b + 10 * a + c : 100 * a + 10 * c + b;
}

// The wrong number that is written down on a row, by a cause; the same number when the cause does
// not apply.
double wrong_number(const SwingTrial& trial, std::size_t row, const std::string& cause,
                    simulate::Random& random) {
  const SwingReading& r = trial.readings[row];
  const double sign = random.uniform(-1.0, 1.0) < 0.0 ? -1.0 : 1.0;
  if (cause == "misread by 10") return r.indicated_deg + 10.0 * sign;
  if (cause == "misread by 30") return r.indicated_deg + 30.0 * sign;
  if (cause == "reciprocal") return r.indicated_deg + 180.0;
  if (cause == "sign") return 2.0 * r.station_deg - r.indicated_deg;
  if (cause == "no pattern") return r.indicated_deg + sign * random.uniform(10.0, 180.0);
  if (cause == "digits swapped") {
    const int whole = static_cast<int>(std::lround(r.indicated_deg)) % 360;
    const int other = swapped_digits(whole, sign > 0.0);
    return other < 360 ? r.indicated_deg + (other - whole) : r.indicated_deg;
  }
  return r.indicated_deg;
}

void plant_misreading(SwingTrial& trial, bool by_ten, simulate::Random& random) {
  static const std::array<std::string, 7> causes = {
      "misread by 10", "misread by 10", "misread by 30", "digits swapped",
      "sign",          "reciprocal",    "no pattern"};
  for (;;) {
    const auto row = static_cast<std::size_t>(random.uniform(0.0, 0.999999) *
                                              static_cast<double>(trial.readings.size()));
    const std::string& cause =
        causes[by_ten ? 0
                      : static_cast<std::size_t>(random.uniform(0.0, 0.999999) * causes.size())];
    const double wrong = test::rounded(wrong_number(trial, row, cause, random), trial.rounding_deg);
    const double shift = wrapped(wrong - trial.readings[row].indicated_deg);
    if (std::fabs(shift) < 10.0 - 0.5 * trial.rounding_deg || std::fabs(shift) < 8.0) continue;
    trial.blunder = {true, false, row, cause, shift};
    trial.readings[row].indicated_deg = wrong;
    return;
  }
}

}  // namespace

std::string compass_name(std::size_t compass) {
  static const std::array<std::string, 3> names = {"standby", "remote", "third"};
  return names[compass];
}

SwingTrial make_swing_trial(std::string_view table, std::uint64_t seed) {
  simulate::Random random{seed, 29};
  SwingTrial out;
  out.compasses = table.rfind("swing-compasses", 0) == 0 ? 2 + seed / 50 % 2 : 1;
  const bool gross = table.find("gross") != std::string_view::npos || table == "swing-ten";
  out.rounding_deg = kRoundings_deg[seed % 5];
  out.stations = kStations[seed / 5 % 5];
  out.both_turns = seed / 25 % 2 == 1;
  // The hardest kind that must be named: the smallest blunder, and every mark read once.
  const bool by_ten = table == "swing-ten";
  if (by_ten) {
    out.rounding_deg = std::min(out.rounding_deg, 1.0);
    out.stations = 12;
    out.both_turns = false;
  }
  // Noise below half a step, which finer rounding than this does not have here.
  const bool coarse = table == "swing-coarse";
  if (coarse) out.rounding_deg = kRoundings_deg[3 + seed % 2];
  const double noisiest = by_ten ? 1.01 : 1.6;
  const auto times = [&] { return std::exp(random.uniform(std::log(0.6), std::log(noisiest))); };
  do {
    out.reading_sigma_deg = 0.7 * times();
    out.station_sigma_deg = 0.7 * times();
  } while (coarse && out.noise_deg() >= 0.5 * out.rounding_deg);
  const double usual[5] = {1.5, 4.0, 4.0, 1.0, 0.7};
  const double north = 0.5 * random.normal();
  for (std::size_t c = 0; c < out.compasses; ++c) {
    test::MadeSwing truth;
    for (std::size_t j = 0; j < 5; ++j) truth.truth[j] = usual[j] * random.normal();
    truth.north_deg = north;
    truth.hysteresis_deg = 0.5 * random.normal();
    out.truths.push_back(truth);
  }
  // On one mark of these all compasses are off, as the aircraft stands on the next one.
  const bool of_mark =
      gross && !by_ten && random.uniform(0.0, 1.0) < (out.compasses > 1 ? 0.4 : 0.15);
  const std::size_t visits = out.stations * (out.both_turns ? 2 : 1);
  const auto wrong_visit =
      static_cast<std::size_t>(random.uniform(0.0, 0.999999) * static_cast<double>(visits));
  const double step = 360.0 / static_cast<double>(out.stations);
  for (std::size_t v = 0; v < visits; ++v) {
    const double station = step * static_cast<double>(v % out.stations);
    const bool clockwise = v < out.stations;
    const bool wrong = of_mark && v == wrong_visit;
    const double beside = wrong ? (random.uniform(-1.0, 1.0) < 0.0 ? -step : step) : 0.0;
    const double placed = out.station_sigma_deg * random.normal() + beside;
    for (std::size_t c = 0; c < out.compasses; ++c) {
      const double stands =
          station + north + placed - (clockwise ? 0.5 : -0.5) * out.truths[c].hysteresis_deg;
      SwingReading r;
      r.station_deg = station;
      r.indicated_deg = test::rounded(
          test::read_on(out.truths[c], stands) + out.reading_sigma_deg * random.normal(),
          out.rounding_deg);
      r.compass = compass_name(c);
      r.turn = clockwise ? SwingTurn::clockwise : SwingTurn::counterclockwise;
      r.row = out.readings.size();
      r.roll_deg = r.pitch_deg = std::nan("");
      out.readings.push_back(r);
      if (wrong && c == 0) out.blunder = {true, true, r.row, "other station", beside};
    }
  }
  if (gross && !of_mark) plant_misreading(out, by_ten, random);
  return out;
}

}  // namespace qn::accuracy
