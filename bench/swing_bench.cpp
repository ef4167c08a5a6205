// SPDX-License-Identifier: Apache-2.0
//
// Question: is a swing solved, with bands and card, faster than the general search for the band of
//           one curve alone takes, and does the time grow no faster than the readings?
// Budget:   24 stations x 3 compasses, bands and cards, in at most the time of three searches
//           (peak_band_95 of estimation: 800 draws, 72 headings); no more a reading at 24 stations
//           than at 8. Times are printed (aim 5 ms) and never a gate.
// Use:      qn_bench_swing [RUNS=20]
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <ctime>
#include <vector>

#include "estimation/gaussian_draws.h"
#include "estimation/peak_band.h"
#include "procedure/swing_card.h"
#include "procedure/swing_solve.h"
#include "simulate/random.h"

namespace {

std::vector<qn::SwingReading> made_swing(int stations, int compasses, double rounding_deg,
                                         std::uint64_t seed) {
  qn::simulate::Random random{seed, 3};
  std::vector<qn::SwingReading> out;
  for (int k = 0; k < stations; ++k) {
    const double station = 360.0 / stations * k;
    const double placed = 0.7 * random.normal();
    for (int c = 0; c < compasses; ++c) {
      const double z = station * 3.14159265358979 / 180.0;
      const double deviation = 1.0 + c + 3.0 * std::sin(z) - 2.0 * std::cos(z) + std::sin(2 * z);
      const double seen = station - deviation + placed + 0.7 * random.normal();
      qn::SwingReading r;
      r.station_deg = station;
      r.indicated_deg = std::fmod(rounding_deg * std::round(seen / rounding_deg) + 360.0, 360.0);
      r.compass = std::string{"compass "} + static_cast<char>('A' + c);
      r.row = out.size();
      r.roll_deg = r.pitch_deg = std::nan("");
      out.push_back(r);
    }
  }
  return out;
}

/// Median processor time of a piece of work, in milliseconds.
template <class Work>
double median_ms(int runs, const Work& work) {
  std::vector<double> ms;
  for (int run = 0; run < runs; ++run) {
    const std::clock_t start = std::clock();
    work(static_cast<std::uint64_t>(run));
    ms.push_back(1e3 * static_cast<double>(std::clock() - start) / CLOCKS_PER_SEC);
  }
  std::sort(ms.begin(), ms.end());
  return ms[ms.size() / 2];
}

double solve_ms(int runs, int stations, int compasses, double rounding_deg) {
  qn::SwingOptions options;
  options.rounding_deg = rounding_deg;
  return median_ms(runs, [&](std::uint64_t seed) {
    const auto solved =
        qn::solve_swing(made_swing(stations, compasses, rounding_deg, seed), options);
    if (!solved || qn::make_cards(solved.value(), {}).empty()) std::abort();
  });
}

double search_ms(int runs) {
  constexpr std::size_t kDraws = 800, kHeadings = 72;
  qn::SquareMatrix unit{1};
  unit(0, 0) = 0.3;
  const auto deviations = qn::gaussian_draws(unit, kDraws * kHeadings, 5);
  std::vector<double> curve(kHeadings);
  for (std::size_t k = 0; k < kHeadings; ++k) {
    curve[k] = 3.0 * std::sin(static_cast<double>(k) * 0.0872664626);
  }
  return median_ms(runs, [&](std::uint64_t) {
    if (!(qn::peak_band_95(curve, deviations).second > 0.0)) std::abort();
  });
}

}  // namespace

int main(int argc, char** argv) {
  const int runs = argc > 1 ? std::max(3, std::atoi(argv[1])) : 20;
  const double search = search_ms(runs);
  const double eight = solve_ms(runs, 8, 1, 1.0);
  const double twenty_four = solve_ms(runs, 24, 1, 1.0);
  const double three = solve_ms(runs, 24, 3, 1.0);
  const double coarse = solve_ms(runs, 24, 3, 5.0);
  fmt::print("processor time, medians of {} swings, card included\n", runs);
  fmt::print("search for one band               {:8.3f} ms\n", search);
  fmt::print("8 stations, 1 compass             {:8.3f} ms\n", eight);
  fmt::print("24 stations, 1 compass            {:8.3f} ms\n", twenty_four);
  fmt::print("24 stations, 3 compasses          {:8.3f} ms\n", three);
  fmt::print("24 stations, 3 compasses, to 5 deg{:8.3f} ms\n", coarse);
  const double of_searches = three / (3.0 * search);
  const double a_reading = twenty_four / 24.0 / (eight / 8.0);
  fmt::print(
      "3 compasses over 3 searches: {:.2f} (at most 1); a reading of 24 over one of 8: {:.2f} "
      "(at most 1)\n",
      of_searches, a_reading);
  return of_searches <= 1.0 && a_reading <= 1.0 ? 0 : 1;
}
