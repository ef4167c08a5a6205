// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>

#include "simulate/disturbance_recording_maker.h"

using namespace qn;
using namespace qn::simulate;

// Each fault alone, in a run that is otherwise silent; and each taken out of a hard one.

namespace {

DisturbanceSettings silent() {
  DisturbanceSettings s;
  s.noise = {};
  s.heading_deg = 0.0;
  return s;
}

DeviceTruth lamp(const std::string& name, const Vector3& field_uT,
                 DeviceKind kind = DeviceKind::steady) {
  Device device;
  device.name = name;
  device.kind = kind;
  return device_with_fields(device, {field_uT});
}

std::vector<DeviceTruth> lamps(std::size_t count) {
  std::vector<DeviceTruth> out;
  for (std::size_t i = 0; i < count; ++i) {
    out.push_back(lamp("lamp " + std::to_string(i), {1.0 + static_cast<double>(i), 0.0, 0.0}));
  }
  return out;
}

double at(const SimulatedRun& run, double time_s, std::size_t axis) {
  const auto& t = run.recording.time_s;
  const auto k = std::lower_bound(t.begin(), t.end(), time_s) - t.begin();
  return run.recording.field[axis][static_cast<std::size_t>(k)];
}

std::vector<double> difference(const SimulatedRun& a, const SimulatedRun& b, std::size_t axis) {
  REQUIRE(a.recording.size() == b.recording.size());
  std::vector<double> out;
  for (std::size_t k = 0; k < a.recording.size(); ++k) {
    out.push_back(a.recording.field[axis][k] - b.recording.field[axis][k]);
  }
  return out;
}

double largest(const std::vector<double>& values) {
  double out = 0;
  for (const double v : values) out = std::max(out, std::abs(v));
  return out;
}

}  // namespace

TEST_CASE("late marks are late by what the truth says, in order, never by more than 8 s",
          "[simulate][synthetic]") {
  DisturbanceSettings settings = silent();
  settings.operator_habits.passes = 40;
  settings.marks = {1.0, 0.5, 0.1, 5.0};
  const auto run = make_disturbance_run(lamps(5), settings, 3);
  double sum = 0, far = 0;
  for (std::size_t m = 0; m < run.marks.size(); ++m) {
    const double late = run.marks[m].time_s - run.truth.marks[m].switch_s;
    CHECK(late == Approx(run.truth.marks[m].lateness_s).margin(1e-9));
    CHECK(std::abs(late) <= 8.0 + 0.005);  // the stopwatch shows hundredths
    if (m > 0) CHECK(run.marks[m].time_s > run.marks[m - 1].time_s);
    sum += late;
    far += std::abs(late - 1.0) > 3.0 ? 1.0 : 0.0;
  }
  const double n = static_cast<double>(run.marks.size());
  CHECK(sum / n == Approx(1.0).margin(4.0 * 1.7 / std::sqrt(n)));  // sd of the mixture is 1.65
  CHECK(far / n > 0.02);
  CHECK(far / n < 0.1);
}

TEST_CASE("a skipped step is marked, and nothing happens", "[simulate][closed-form]") {
  DisturbanceSettings settings = silent();
  settings.operator_habits.skipped_share = 0.3;
  const auto run = make_disturbance_run(lamps(4), settings, 3);
  int skipped = 0;
  for (std::size_t m = 0; m < run.marks.size(); ++m) {
    if (run.marks[m].state != "on") continue;
    const double x = at(run, run.truth.marks[m].switch_s + 1.0, 0);
    CHECK((x < 20.5) == run.truth.marks[m].skipped);
    if (run.truth.marks[m].skipped) ++skipped;
  }
  CHECK(skipped > 0);
}

TEST_CASE("a substituted step shows the other device's field under the listed label",
          "[simulate][closed-form]") {
  DisturbanceSettings settings = silent();
  settings.operator_habits.substituted_share = 0.3;
  const auto run = make_disturbance_run(lamps(4), settings, 3);
  int substituted = 0;
  for (std::size_t m = 0; m < run.marks.size(); ++m) {
    if (run.marks[m].state != "on") continue;
    const std::string& other = run.truth.marks[m].worked_instead;
    CHECK(other != run.marks[m].device);
    const std::string& worked = other.empty() ? run.marks[m].device : other;
    const double expected = 21.0 + (worked.back() - '0');
    CHECK(at(run, run.truth.marks[m].switch_s + 1.0, 0) == Approx(expected).margin(1e-9));
    if (!other.empty()) ++substituted;
  }
  CHECK(substituted > 0);
}

TEST_CASE("unplanned events are where the truth says and nowhere else", "[simulate][synthetic]") {
  DisturbanceSettings settings = silent();
  const auto quiet = make_disturbance_run(lamps(4), settings, 3);
  settings.unplanned = {1, 1, 1, {0.5, 2.0}, 1e-3, 5.0};
  const auto run = make_disturbance_run(lamps(4), settings, 3);
  std::vector<std::string> kinds;
  for (const auto& event : run.truth.events) kinds.push_back(event.kind);
  for (const char* kind : {"train", "step", "pulse", "spike"}) {
    CHECK(std::count(kinds.begin(), kinds.end(), kind) >= 1);
  }
  std::vector<bool> touched(run.recording.size(), false);
  for (std::size_t axis = 0; axis < 3; ++axis) {
    const auto extra = difference(run, quiet, axis);
    for (std::size_t k = 0; k < extra.size(); ++k) {
      if (std::abs(extra[k]) > 1e-9) touched[k] = true;
    }
  }
  for (std::size_t k = 0; k < touched.size(); ++k) {
    if (!touched[k]) continue;
    const double t = run.recording.time_s[k];
    CHECK(std::any_of(run.truth.events.begin(), run.truth.events.end(),
                      [t](const EventTruth& e) { return t >= e.from_s && t <= e.to_s; }));
  }
  for (const auto& event : run.truth.events) {
    if (event.kind != "train") continue;
    const double on_s = event.from_s + 0.5 * event.duty * event.period_s;
    CHECK(touched[static_cast<std::size_t>(std::lround(20 * on_s))]);
  }
}

TEST_CASE("tilting the airframe turns the Earth's field and leaves its length",
          "[simulate][closed-form]") {
  DisturbanceSettings settings = silent();
  settings.tilt = {{0.2, 0.2}};
  settings.log_attitude = true;
  settings.attitude_sigma_deg = 0.0;
  settings.effects.zero_share = 1.0;
  Device gear;
  gear.name = "gear";
  gear.kind = DeviceKind::moving;
  gear.transit_s = 4.0;
  const auto run = make_disturbance_run(std::vector<Device>{gear}, settings, 3);
  const double total = std::hypot(20.0, 45.0);
  double moved = 0, rolled = 0;
  for (std::size_t k = 0; k < run.recording.size(); ++k) {
    const auto& f = run.recording.field;
    CHECK(std::hypot(f[0][k], f[1][k], f[2][k]) == Approx(total).margin(1e-9));
    moved = std::max(moved, std::hypot(f[0][k] - 20, f[1][k], f[2][k] - 45));
    rolled = std::max(rolled, std::hypot(run.recording.roll_deg[k], run.recording.pitch_deg[k]));
  }
  CHECK(rolled == Approx(0.2).margin(1e-9));
  // 0.2 degree turns 45 uT by 0.157 uT, and H by up to 0.07 uT more when the nose moves.
  CHECK(moved > 0.156);
  CHECK(moved < 0.173);
}

TEST_CASE("drift starts at nothing, warms to its size and wanders by its sigma",
          "[simulate][closed-form]") {
  DisturbanceSettings settings = silent();
  settings.rate_Hz = 1.0;
  settings.operator_habits.lead_s = {600.0, 600.0};
  settings.drift = {{3.0, 3.0}, {400, 400}, 0.0};
  auto run = make_disturbance_run(lamps(1), settings, 3);
  const auto off = [&](double t) {
    return std::hypot(at(run, t, 0) - 20, at(run, t, 1), at(run, t, 2) - 45);
  };
  CHECK(off(0) == Approx(0).margin(1e-9));
  CHECK(off(400) == Approx(3.0 * (1 - std::exp(-1.0))).margin(1e-6));
  settings.drift = {{0, 0}, {400, 400}, 0.5};
  double square = 0;
  for (std::uint64_t seed = 0; seed < 60; ++seed) {
    run = make_disturbance_run(lamps(1), settings, seed);
    // sd grows as t^1.5: at 599 s, just before the first switch, it is 0.5 / 2^1.5 per axis.
    square += off(599) * off(599) / 180.0;
  }
  CHECK(std::sqrt(square) == Approx(0.5 / std::pow(2.0, 1.5)).epsilon(0.2));  // 180 values: 5 %
}

TEST_CASE("gaps, quantum and rail shape what is recorded", "[simulate][closed-form]") {
  DisturbanceSettings settings = silent();
  const auto whole = make_disturbance_run(lamps(3), settings, 3);
  settings.gaps = 3;
  settings.quantum_uT = 0.15;
  settings.rail_uT = 22.0;
  const auto run = make_disturbance_run(lamps(3), settings, 3);
  REQUIRE(run.truth.gaps_s.size() == 3);
  CHECK(run.recording.size() < whole.recording.size());
  for (const double t : run.recording.time_s) {
    for (const Span& gap : run.truth.gaps_s) CHECK((t < gap.lo || t >= gap.hi));
  }
  CHECK(run.recording.field[0].front() == Approx(19.95).margin(1e-9));  // 133 steps of 0.15
  CHECK(*std::max_element(run.recording.field[2].begin(), run.recording.field[2].end()) == 22.0);
}

TEST_CASE("every fault taken out of a hard run leaves none; put into a silent one it shows",
          "[simulate][synthetic]") {
  const auto list = invented_equipment(10, 1);
  const DisturbanceSettings hard = *disturbance_preset("hard");
  DisturbanceSettings none = hard;
  for (const auto& fault : disturbance_faults()) CHECK(without_fault(none, fault));
  none.effects = {};
  none.operator_habits.combination_spread_s = 0;
  const auto quiet = make_disturbance_run(list, none, 5);
  for (const auto& mark : quiet.truth.marks) {
    CHECK(mark.lateness_s == Approx(0).margin(0.005));  // the stopwatch shows hundredths
    CHECK_FALSE(mark.skipped);
    CHECK(mark.worked_instead.empty());
  }
  CHECK(quiet.truth.events.empty());
  CHECK(quiet.truth.gaps_s.empty());
  CHECK_FALSE(with_fault(none, "gremlins"));
  for (const char* fault : {"unplanned", "spikes", "drift", "tilt", "noise", "quantum"}) {
    DisturbanceSettings one = none;
    REQUIRE(with_fault(one, fault));
    INFO(fault);
    CHECK(largest(difference(make_disturbance_run(list, one, 5), quiet, 1)) > 0.01);
  }
}
