// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <optional>
#include <utility>

#include "procedure/disturbance_events_internal.h"
#include "procedure/disturbance_solution_internal.h"
#include "procedure/disturbance_warming_internal.h"

namespace qn::disturbance {
namespace {

// The first moments need be no better than that: every one is looked for again.
constexpr double kFirstLook_s = 0.2;

std::vector<Vector3> sizes_of(const std::vector<ExpectedJump>& jumps) {
  std::vector<Vector3> out;
  for (const ExpectedJump& jump : jumps) out.push_back(jump.best_uT);
  return out;
}

// One look at everything: sizes for the moments at hand, then what the repeats say.
void look(Solved& solved, double matters_uT, const ParallelFor& parallel,
          Learn learn = Learn::from_before) {
  if (!solved.fit_uT[0].empty()) {
    solved.problem.unrest_uT2 = visit_unrest(solved.problem, solved.visits, solved.fit_uT);
  }
  solved.visits = solve_visits(solved.problem, parallel, &solved.visits, learn);
  read_all_repeats(solved.run, solved.visits, matters_uT, solved.states);
  solved.joint = solve_states(solved.problem, solved.visits, solved.states);
  draw_fit(solved);
}

void find_moments_again(Solved& solved) {
  const std::vector<ExpectedJump> jumps = expected_jumps(solved.run, solved.visits, solved.states);
  const LongRunRate rate = long_run_rate(solved.visits, solved.series.blocks.length_s);
  solved.problem.times = refined_switch_times(solved.series.fine, solved.run, rate, solved.delays,
                                              solved.problem.times, jumps);
  solved.problem.jumps_uT = sizes_of(jumps);
  solved.delays = learn_delays(solved.run, solved.problem.times, solved.delays);
}

// Pieces in which the trace jumps or travels: their shape is no period.
void note_switches(Solved& solved) {
  const Pieces& fine = solved.series.fine;
  std::vector<unsigned char>& beside = solved.series.beside_switch;
  beside.assign(fine.size(), 0);
  const auto note = [&](double from_s, double to_s) {
    for (std::size_t k = fine.at(from_s); k <= fine.at(to_s); ++k) beside[k] = 1;
  };
  for (std::size_t s = 0; s < solved.problem.times.size(); ++s) {
    const SwitchTime& at = solved.problem.times[s];
    const Item& item = solved.run.items[solved.run.switches[s].item];
    const bool motor = item.device.kind == DeviceKind::motor;
    const double reach = 0.4 + item.settle_s + (at.clear ? 2.0 * at.sigma_s : 0.0);
    const double settling = std::max(item.device.transit_s, motor ? 2.0 : 0.0);
    note(at.mean_s - reach, at.mean_s + reach + settling);
  }
  for (const Event& event : solved.problem.events) {
    note(event.from_s - 1.0, event.from_s + 1.0);
    note(event.to_s - 1.0, event.to_s + 1.0);
  }
}

// A train of its own is looked for where nothing pulses that is known to: neither pulsing devices
// nor sets, which hold several.
std::vector<unsigned char> pulsing_time(const Solved& solved) {
  const Pieces& fine = solved.series.fine;
  std::vector<unsigned char> out(fine.size(), 0);
  for (const Visit& visit : solved.run.visits) {
    const Item& item = solved.run.items[visit.item];
    const bool set = item.what != Item::What::device;
    if (!set && item.device.kind != DeviceKind::pulsing) continue;
    // The moments of a set are the marks', give or take.
    const double margin_s = set ? 3.0 * solved.delays.spread_s + item.settle_s : 0.0;
    const std::size_t from =
        visit.begin ? fine.at(solved.problem.times[*visit.begin].mean_s - margin_s) : 0;
    const std::size_t to = visit.end ? fine.at(solved.problem.times[*visit.end].mean_s + margin_s +
                                               (set ? item.device.transit_s : 0.0))
                                     : fine.size() - 1;
    for (std::size_t k = from; k <= to; ++k) out[k] = 1;
  }
  return out;
}

// A second look at trains: where there was none at the first, there is none.
void only_about(const std::vector<Train>& trains, const Pieces& fine,
                std::vector<unsigned char>& not_here) {
  constexpr double kAbout_s = 120.0;
  std::vector<unsigned char> about(fine.size(), 0);
  for (const Train& train : trains) {
    const std::size_t last = fine.at(train.to_s + kAbout_s);
    for (std::size_t k = fine.at(train.from_s - kAbout_s); k <= last; ++k) about[k] = 1;
  }
  for (std::size_t k = 0; k < about.size(); ++k) {
    if (!about[k]) not_here[k] = 1;
  }
}

// Trains and pulsing devices, in what a rest field too stiff to follow them leaves.
void find_periods(Solved& solved) {
  const bool second_look = !solved.trains.empty();
  const std::vector<Train> before = std::move(solved.trains);
  note_switches(solved);
  std::array<std::vector<double>, 3> stiff;
  for (std::size_t axis = 0; axis < 3; ++axis) {
    stiff[axis] = stiff_fit(solved.problem, solved.visits, axis);
  }
  const auto spectrum = [&](std::optional<RestSpectrum>& to) {
    to.emplace(solved.series, solved.run, solved.problem.times, stiff, solved.visits.noise);
  };
  std::optional<RestSpectrum> rest;
  spectrum(rest);
  solved.trains.clear();
  solved.pulsing.clear();
  solved.problem.events.clear();
  std::vector<unsigned char> not_here = pulsing_time(solved);
  if (second_look) only_about(before, solved.series.fine, not_here);
  for (Train& train : take_out_trains(solved.series, stiff, *rest, not_here)) {
    // The mean of a train is a level of its own while it lasts.
    solved.problem.events.push_back({train.from_s, train.to_s});
    solved.trains.push_back(train);
  }
  if (!solved.trains.empty()) {
    // With trains there is a second look, and pulses are looked for then.
    if (!second_look) return;
    spectrum(rest);  // without the trains
  }
  solved.pulsing = take_out_pulses(solved.series, solved.problem, solved.visits, stiff, *rest);
}

// A step at which a pulsing device was worked in place of another shows that device's period: it is
// neither the other's nor unexplained.
void drop_borrowed_periods(Solved& solved) {
  const auto pulses_at = [&](double period_s, std::size_t not_item) {
    return std::any_of(solved.pulsing.begin(), solved.pulsing.end(), [&](const PulsingItem& other) {
      const Item& item = solved.run.items[other.item];
      return other.item != not_item && item.what == Item::What::device &&
             item.device.kind == DeviceKind::pulsing &&
             std::abs(other.shape.period_s / period_s - 1.0) < 0.03;
    });
  };
  std::erase_if(solved.pulsing, [&](const PulsingItem& found) {
    const Item& item = solved.run.items[found.item];
    return item.device.kind != DeviceKind::pulsing && pulses_at(found.shape.period_s, found.item);
  });
  std::erase_if(solved.trains, [&](const Train& train) {
    if (!pulses_at(train.period_s, solved.run.items.size())) return false;
    return std::any_of(solved.states.begin(), solved.states.end(), [&](const StateVisits& state) {
      for (std::size_t r = 0; r < state.visits.size(); ++r) {
        const Visit& visit = solved.run.visits[state.visits[r]];
        const bool aside =
            state.reading.contested || state.reading.visits[r].what != VisitReading::What::good;
        if (!aside || !visit.begin || !visit.end) continue;
        const double from = solved.problem.times[*visit.begin].mean_s - 4.0;
        const double to = solved.problem.times[*visit.end].mean_s + 4.0;
        if (train.from_s > from && train.to_s < to) return true;
      }
      return false;
    });
  });
}

// A climb that does not stand once everything is solved together is none: carried on to where it
// would settle, it would spoil the size of its device. Returns whether there was one.
bool drop_fallen_warmings(Solved& solved) {
  constexpr double kStands = 12.0;  // chi-square of three sizes: chance gives it once in 140
  return std::erase_if(solved.problem.warmings, [&](const Warming& warming) {
           double stands = 0.0;
           for (std::size_t s = 0; s < solved.states.size(); ++s) {
             if (solved.states[s].item != warming.item) continue;
             stands = std::max(stands, solved.joint.warming_stands[s]);
           }
           return stands < kStands;
         }) > 0;
}

}  // namespace

void solve_run(const SensorRecording& recording, double matters_uT, const ParallelFor& parallel,
               Solved& out) {
  out.series = prepare_series(recording);
  out.states = states_worked(out.run);
  note_worked_together(out.run, out.states);
  out.problem.series = &out.series;
  out.problem.run = &out.run;

  std::vector<ExpectedJump> jumps;
  LongRunRate rate = rough_long_run_rate(out.series.blocks);
  // Until the colour of the noise is known, means are taken to be worse than white noise says.
  for (double& r : rate) r *= 2.0;
  out.problem.times = first_switch_times(merged_means(out.series.fine, kFirstLook_s), out.run, rate,
                                         out.delays, jumps);
  out.problem.jumps_uT = sizes_of(jumps);
  out.delays = learn_delays(out.run, out.problem.times, out.delays);
  out.problem.mark_spread_s = out.delays.spread_s;
  look(out, matters_uT, parallel);
  const Pieces fine = out.series.fine;
  const Pieces blocks = out.series.blocks;
  find_periods(out);
  if (!out.trains.empty()) {
    // Its pulses passed for switches: moments are looked for as if for the first time, and then the
    // train itself once more in what was recorded.
    out.problem.times = first_switch_times(merged_means(out.series.fine, kFirstLook_s), out.run,
                                           long_run_rate(out.visits, out.series.blocks.length_s),
                                           out.delays, jumps);
    out.problem.jumps_uT = sizes_of(jumps);
    out.delays = learn_delays(out.run, out.problem.times, out.delays);
    look(out, matters_uT, parallel, Learn::anew);
    out.series.fine = fine;
    out.series.blocks = blocks;
    find_periods(out);
  }
  // Where a train of pulses begins and ends can only be told to its period. (The two seconds of a
  // set have served: from here on the margin of the delay law keeps its blocks out.)
  for (Item& item : out.run.items) item.settle_s = 0.0;
  for (const PulsingItem& item : out.pulsing) {
    if (!item.whole) out.run.items[item.item].settle_s = item.shape.period_s;
  }
  find_moments_again(out);
  look(out, matters_uT, parallel);
  // Heating first: what it leaves beside a plain step would pass for an event.
  out.problem.warmings = find_warmings(out.problem, out.visits, out.states);
  find_moments_again(out);
  // The noise of the answer is found from nowhere, whatever was believed on the way.
  look(out, matters_uT, parallel, Learn::anew);
  if (drop_fallen_warmings(out)) look(out, matters_uT, parallel, Learn::not_again);
  find_events(out.problem, out.visits);
  if (!out.problem.events.empty()) look(out, matters_uT, parallel);
  drop_borrowed_periods(out);
}

void draw_fit(Solved& solved) {
  const Pieces& blocks = solved.series.blocks;
  // Good visits stand at their state's common size, all else at its own.
  std::vector<Vector3> size = solved.visits.size_uT;
  for (std::size_t s = 0; s < solved.states.size(); ++s) {
    const StateVisits& state = solved.states[s];
    if (state.reading.contested) continue;
    for (std::size_t r = 0; r < state.visits.size(); ++r) {
      const bool good =
          state.reading.visits.empty() || state.reading.visits[r].what == VisitReading::What::good;
      if (good) size[state.visits[r]] = solved.joint.size_uT[s];
    }
  }
  // A settled size holds its warming: the step is what is left of it.
  for (const std::size_t v : solved.visits.warming_visit) size[v] = solved.visits.size_uT[v];
  for (std::size_t axis = 0; axis < 3; ++axis) {
    const std::vector<double> effects = effects_uT(solved.visits, size, axis, blocks.size());
    const double start = blocks.mean_uT[axis].front();
    const DriftFilter filter{solved.visits.noise[axis], blocks_of_axis(solved.visits, axis)};
    solved.rest_uT[axis] =
        filter.smoothed_level(left_uT(solved.problem, solved.visits, size, axis));
    solved.fit_uT[axis].resize(blocks.size());
    for (std::size_t b = 0; b < blocks.size(); ++b) {
      solved.rest_uT[axis][b] += start;
      solved.fit_uT[axis][b] = solved.rest_uT[axis][b] + effects[b];
    }
  }
}

}  // namespace qn::disturbance
