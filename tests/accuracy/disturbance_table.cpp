// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <cstdio>
#include <iterator>

#include "accuracy/disturbance_cases.h"
#include "accuracy/disturbance_score.h"
#include "accuracy/scores_of.h"

namespace qn::accuracy {
namespace {

/// What issue and reader are promised, by table.
struct Promise {
  RowGate bands;
  double ratio = 0.0;
  double unproven = 1.0;
};

Promise promise_of(std::string_view table) {
  Promise out;
  if (table == "disturbance-clean") {
    out.ratio = 1.25;
    out.unproven = 0.02;
  } else if (table == "disturbance-ordinary") {
    out.ratio = 1.35;
    out.unproven = 0.05;
  } else {
    out.bands.least = 0.92;
    out.bands.most = 1.0;
  }
  return out;
}

void set_gates(std::string_view table, const Promise& promise, RunCoverage& out) {
  // The analysis allows for 0.2 degrees about two axes where the simulated airframe moves by less:
  // bands that are too wide, by a stated assumption, which may not fail for it.
  const bool tilt_assumed = table != "disturbance-clean";
  RowGate field = promise.bands;
  field.ratio = promise.ratio;
  RowGate moving = field;
  RowGate angle = promise.bands;
  RowGate moving_angle = angle;
  if (tilt_assumed) moving.most = moving_angle.most = 1.0;
  for (const char* axis : {"x", "y", "z"}) {
    out.set_gate(std::string{"field "} + axis + ", µT", field);
    out.set_gate(std::string{"field "} + axis + ", gear, flaps, engine, µT", moving);
  }
  out.set_gate("worst heading error over 3 sigma", angle);
  out.set_gate("worst heading error over 3 sigma, gear, flaps, engine", moving_angle);
  for (const char* which : {"", ", gear, flaps, engine"}) {
    out.set_gate(std::string{"worst heading error near zero"} + which, {0.97, 1.0, 0.975, 0.0});
  }
}

void check(RunCoverage& out, const std::string& what, const Count& count, double least,
           double most) {
  char text[320];
  std::snprintf(text, sizeof text, "%s: %zu of %zu, %.2f %% (allowed: %s %g %%).", what.c_str(),
                count.hits, count.of, 100.0 * count.share(), least > 0.0 ? "at least" : "at most",
                100.0 * (least > 0.0 ? least : most));
  out.add_check(text, count.of == 0 || (count.share() >= least && count.share() <= most));
}

void tell(RunCoverage& out, const std::string& what, const Count& count) {
  char text[320];
  std::snprintf(text, sizeof text, "%s: %zu of %zu, %.2f %% (no limit set).", what.c_str(),
                count.hits, count.of, 100.0 * count.share());
  out.add_check(text, true);
}

// A ratio of sums of squares, as that of the table; the tail weighs in it as it does there.
void tell_finding(RunCoverage& out, const FindingRatio& sums, double most) {
  const double ratio = std::sqrt(sums.errors / std::max(sums.bounds, 1e-300));
  const double price = std::sqrt(sums.bounds / std::max(sums.known, 1e-300));
  char text[320];
  std::snprintf(text, sizeof text,
                "All axes together, rms error over the bound that has to find the moments as well: "
                "%.3f (%s). That bound is %.3f times the one that knows them.",
                ratio, most > 0.0 ? "allowed: at most 1.1" : "no limit set", price);
  out.add_check(text, most <= 0.0 || ratio <= most);
}

void add_checks(const Promise& promise, const DisturbanceCounts& counts, RunCoverage& out) {
  check(out, "The worst device stands first where it exceeds the second by 3 sigma",
        counts.worst_first, 0.97, 1.0);
  check(out, "Devices without effect called over", counts.zero_over, 0.0, 0.0);
  check(out, "Devices without effect whose lower end is above zero", counts.zero_above_zero, 0.0,
        0.04);
  check(out, "Devices over 1.3 limits called within", counts.over_as_within, 0.0, 0.0);
  const std::string clear =
      "Called unproven though the truth is 0.3 limits away and the marks are sound";
  if (promise.unproven < 1.0) {
    check(out, clear, counts.unproven, 0.0, promise.unproven);
  } else {
    tell(out, clear, counts.unproven);
  }
  tell(out, "The same of gear, flaps and engine where a tilt that nobody logged is allowed for",
       counts.unproven_moving);
  tell(out, "States whose repeats are said to disagree", counts.contested);
  tell(out, "The same where all marks are sound", counts.contested_sound);
  tell(out, "States for which no size is claimed at all, left out of the rms error",
       counts.without_size);
  tell(out, "States that were never really worked, which are not scored", counts.never_worked);
  tell(out, "Everything at once said not to agree with the sum, without interaction",
       counts.all_on_disagrees);
}

}  // namespace

void FindingRatio::add(double error, double bound, double known_bound) {
  errors += error * error;
  bounds += bound * bound;
  known += known_bound * known_bound;
}

FindingRatio& FindingRatio::operator+=(const FindingRatio& other) {
  errors += other.errors;
  bounds += other.bounds;
  known += other.known;
  return *this;
}

DisturbanceCounts& DisturbanceCounts::operator+=(const DisturbanceCounts& other) {
  worst_first += other.worst_first;
  zero_over += other.zero_over;
  zero_above_zero += other.zero_above_zero;
  over_as_within += other.over_as_within;
  unproven += other.unproven;
  unproven_moving += other.unproven_moving;
  contested += other.contested;
  contested_sound += other.contested_sound;
  never_worked += other.never_worked;
  without_size += other.without_size;
  all_on_disagrees += other.all_on_disagrees;
  return *this;
}

RunCoverage run_disturbance_table(std::string_view table, std::size_t runs,
                                  std::uint64_t first_seed, const ParallelFor& parallel,
                                  std::vector<Miss>* misses) {
  auto scores = scores_of(runs, first_seed, parallel,
                          [&](std::uint64_t seed) { return score_disturbance(table, seed); });
  RunCoverage out;
  const Promise promise = promise_of(table);
  set_gates(table, promise, out);
  DisturbanceCounts counts;
  FindingRatio finding;
  for (DisturbanceScore& score : scores) {
    if (score.refusal) {
      out.add_refusal(*score.refusal);
      continue;
    }
    out.add_run(score.readings);
    counts += score.counts;
    finding += score.finding;
    if (misses) std::move(score.misses.begin(), score.misses.end(), std::back_inserter(*misses));
  }
  tell_finding(out, finding, promise.ratio > 0.0 ? 1.1 : 0.0);
  add_checks(promise, counts, out);
  if (misses) {
    std::stable_sort(misses->begin(), misses->end(), [](const Miss& a, const Miss& b) {
      return a.kind != b.kind ? a.kind < b.kind : a.z > b.z;
    });
  }
  return out;
}

}  // namespace qn::accuracy
