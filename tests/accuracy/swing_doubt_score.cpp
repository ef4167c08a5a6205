// SPDX-License-Identifier: Apache-2.0
#include "accuracy/swing_doubt_score.h"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <map>
#include <memory>
#include <utility>
#include <vector>

#include "accuracy/scores_of.h"
#include "procedure/run_engine.h"
#include "procedure/run_swing.h"
#include "procedure/swing_maker.h"

namespace qn::accuracy {
namespace {

constexpr int kMarks[2] = {8, 12};
constexpr double kShifts_deg[2] = {10.0, 30.0};

/// What became of one swing at the mark in question.
struct DoubtScore {
  int marks = 8, visit = 1;  ///< the visit from 1 on
  double shift_deg = 10.0;
  bool flagged = false;        ///< the wrong number
  bool sound_doubted = false;  ///< the right one in its place
};

void answer(run::Engine& engine, run::EventKind kind, double number) {
  run::Event event = run::said(kind, engine.state().now_s + 1.0);
  const auto prompt = engine.prompt(event.time_s);
  if (kind == run::EventKind::reading && prompt.number) {
    event.device = prompt.number->device;
    event.state = prompt.number->state;
    event.number = number;
  }
  engine.apply(event);
}

/// Whether that number is asked for again.
bool doubted(run::Engine engine, double number) {
  answer(engine, run::EventKind::reading, number);
  const auto further = engine.weigh();
  return std::any_of(further.begin(), further.end(),
                     [](const run::Event& e) { return e.kind == run::EventKind::doubt; });
}

std::shared_ptr<const run::Plan> plan_of(int marks) {
  run::SwingRunOptions options;
  options.stations = marks;
  options.compasses = {{"standby", false}};
  return std::make_shared<run::Plan>(run::swing_run_plan(options).value());
}

DoubtScore score_case(std::uint64_t seed) {
  static const auto plan_of_8 = plan_of(kMarks[0]), plan_of_12 = plan_of(kMarks[1]);
  DoubtScore out;
  out.marks = kMarks[seed % 2];
  out.shift_deg = kShifts_deg[seed / 2 % 2];
  out.visit = static_cast<int>(seed / 4 % static_cast<std::uint64_t>(out.marks)) + 1;
  simulate::Random random{seed, 41};
  const auto times = [&] { return std::exp(random.uniform(std::log(0.6), std::log(1.6))); };
  test::SwingCase drawn;
  drawn.stations = static_cast<std::size_t>(out.marks);
  drawn.reading_sigma_deg = 0.7 * times();
  drawn.station_sigma_deg = 0.7 * times();
  const test::MadeSwing made = test::make_swing(drawn, seed);
  run::Engine engine{seed % 2 == 0 ? plan_of_8 : plan_of_12};
  answer(engine, run::EventKind::acknowledge, 0.0);
  for (int k = 0; k < out.visit; ++k) {
    answer(engine, run::EventKind::tap, 0.0);
    const double shown = made.readings[static_cast<std::size_t>(k)].indicated_deg;
    if (k + 1 == out.visit) {
      const double sign = random.uniform(-1.0, 1.0) < 0.0 ? -1.0 : 1.0;
      out.sound_doubted = doubted(engine, shown);
      out.flagged = doubted(engine, std::fmod(shown + sign * out.shift_deg + 360.0, 360.0));
      return out;
    }
    answer(engine, run::EventKind::reading, shown);
    engine.apply(run::said(run::EventKind::weighed, engine.state().now_s));
  }
  return out;
}

struct Count {
  std::size_t yes = 0, of = 0;
  void add(bool is) {
    ++of;
    yes += is ? 1 : 0;
  }
  double share() const { return of > 0 ? static_cast<double>(yes) / static_cast<double>(of) : 0.0; }
};

}  // namespace

std::string how_doubt_drawn() {
  return "A swing of 8 or 12 marks led as a run, rounded to 1 degree; coefficients and noise as in "
         "swing-clean. On one mark the number said is off by 10 or 30 degrees; all before were "
         "right. In the same place the right number, to see whether that is doubted.";
}

CoverageTable run_doubt_table(std::size_t cases, std::uint64_t first_seed,
                              const ParallelFor& parallel) {
  const auto scores = scores_of(cases, first_seed, parallel, score_case);
  CoverageTable out;
  std::map<std::pair<int, int>, std::map<int, Count>> flagged;
  Count sound;
  std::map<int, Count> sound_by;
  for (const DoubtScore& s : scores) {
    flagged[{s.marks, static_cast<int>(s.shift_deg)}][s.visit].add(s.flagged);
    sound.add(s.sound_doubted);
    sound_by[s.visit].add(s.sound_doubted);
  }
  for (const auto& [of, by_visit] : flagged) {
    std::string text = std::to_string(of.first) + " marks, off by " + std::to_string(of.second) +
                       ": doubted at once as first, second, ... reading (no limit set), %:";
    Count all;
    for (const auto& [visit, count] : by_visit) {
      char share[24];
      std::snprintf(share, sizeof share, " %.0f", 100.0 * count.share());
      text += share;
      all.yes += count.yes, all.of += count.of;
    }
    char share[60];
    std::snprintf(share, sizeof share, "; of all %zu, %.0f.", all.of, 100.0 * all.share());
    out.add_check(text + share, true);
  }
  std::string by = "Sound readings doubted as first, second, ... reading (no limit set), %:";
  for (const auto& [visit, count] : sound_by) {
    char share[24];
    std::snprintf(share, sizeof share, " %.1f", 100.0 * count.share());
    by += share;
  }
  out.add_check(by + ".", true);
  char text[120];
  std::snprintf(text, sizeof text,
                "A sound reading is doubted (allowed: 2 %%): %zu of %zu, %.2f %%.", sound.yes,
                sound.of, 100.0 * sound.share());
  const double grace =
      cases >= gate::kMany ? 0.0 : 3.0 * std::sqrt(0.02 * 0.98 / static_cast<double>(cases));
  out.add_check(text, sound.share() <= 0.02 + grace);
  return out;
}

}  // namespace qn::accuracy
