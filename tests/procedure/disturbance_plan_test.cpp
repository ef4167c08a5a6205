// SPDX-License-Identifier: Apache-2.0
#include "procedure/disturbance_plan.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <map>
#include <set>
#include <string>
#include <utility>
#include <vector>

#include "plan_equipment.h"
#include "vocab/mark.h"

using namespace qn;
using qn::test::device;
using qn::test::difficult_equipment;

namespace {

PlanOptions options() {
  PlanOptions o;
  o.limit = {Angle::degrees(1.0), "your own limit"};
  o.earth.horizontal_uT = 20.0;
  o.earth.down_uT = 43.0;
  return o;
}

DisturbancePlan planned(const std::vector<Device>& equipment, const PlanOptions& o = options()) {
  auto plan = plan_disturbance(equipment, o);
  REQUIRE(plan.has_value());
  return std::move(plan).value();
}

bool is_set(const PlanStep& step) {
  return step.device == kEverything || step.device.rfind(kPhasePrefix, 0) == 0;
}

const Device& named(const std::vector<Device>& equipment, const std::string& name) {
  for (const Device& d : equipment) {
    if (d.name == name) return d;
  }
  FAIL("no device " << name);
  return equipment.front();
}

bool mentions(const std::vector<std::string>& texts, const std::string& words) {
  return std::any_of(texts.begin(), texts.end(),
                     [&](const std::string& t) { return t.find(words) != std::string::npos; });
}

/// Least squares by brute force: the variance of a step seen between two rests on a walking level,
/// what lies beyond the rests unknown. Small cells, so that sums stand for integrals.
double brute_force_variance(double rest_s, double dwell_s, double R, double q, double cell_s) {
  const auto cells = [&](double s) { return static_cast<std::size_t>(std::lround(s / cell_s)); };
  const std::size_t first = cells(rest_s), on = cells(dwell_s), n = 2 * first + on;
  // Unknowns: the level in each cell and the step. Information: white R/cell, walk q*cell. The
  // matrix is tridiagonal but for the step, which is eliminated last.
  const double data = cell_s / R, walk = 1.0 / (q * cell_s);
  std::vector<double> diagonal(n, data), border(n, 0.0);
  for (std::size_t i = 0; i < n; ++i) {
    if (i > 0) diagonal[i] += walk;
    if (i + 1 < n) diagonal[i] += walk;
    if (i >= first && i < first + on) border[i] = data;
  }
  double step_information = data * static_cast<double>(on);
  for (std::size_t i = 0; i < n; ++i) {  // eliminate level i
    step_information -= border[i] * border[i] / diagonal[i];
    if (i + 1 == n) break;
    const double factor = walk / diagonal[i];
    diagonal[i + 1] -= walk * factor;
    border[i + 1] += border[i] * factor;
  }
  return 1.0 / step_information;
}

}  // namespace

TEST_CASE("the variance of a visit agrees with least squares by brute force",
          "[procedure][closed-form]") {
  const PlanNoise noise = planned({device("Lamp")}).noise;
  for (const auto& [dwell_s, rest_s] :
       std::vector<std::pair<double, double>>{{2, 5}, {20, 10}, {10, 40}, {60, 60}, {200, 3}}) {
    INFO(dwell_s << " s on, " << rest_s << " s of rest");
    const double brute =
        brute_force_variance(rest_s, dwell_s, noise.R_uT2_s, noise.q_uT2_per_s, 0.01);
    // Cells of 0.01 s against a time scale of about 12 s: 1e-3 of the value.
    CHECK(noise.visit_variance_uT2(dwell_s, rest_s) == Approx(brute).epsilon(2e-3));
  }
  // The two limits of the theory: R (1/T_on + 1/T_off) when short, sqrt(R q) when long.
  const double R = noise.R_uT2_s, q = noise.q_uT2_per_s;
  CHECK(noise.visit_variance_uT2(0.1, 0.1) == Approx(R * (1 / 0.1 + 1 / 0.2)).epsilon(1e-3));
  CHECK(noise.visit_variance_uT2(1e4, 1e4) == Approx(std::sqrt(R * q)).epsilon(1e-9));
}

TEST_CASE("each state of each device comes at least twice and never follows itself",
          "[procedure][synthetic]") {
  const auto equipment = difficult_equipment();
  const auto plan = planned(equipment);
  std::map<std::pair<std::string, std::string>, std::size_t> visits;
  for (std::size_t i = 0; i < plan.steps.size(); ++i) {
    const PlanStep& step = plan.steps[i];
    CHECK(step.number == i + 1);
    if (is_set(step)) continue;
    ++visits[{step.device, step.state}];
    if (i > 0 && step.pass <= 2) {
      INFO("step " << step.number << " " << step.device);
      CHECK((step.device != plan.steps[i - 1].device || step.state != plan.steps[i - 1].state));
    }
  }
  std::size_t states = 0;
  for (const Device& d : equipment) {
    for (std::size_t s = 1; s < d.states.size(); ++s) {
      ++states;
      CHECK(visits[{d.name, d.states[s]}] >= 2);
      CHECK(visits[{d.name, d.states[s]}] <= 6);
    }
  }
  CHECK(plan.states.size() == states);
  for (const PlannedState& s : plan.states) CHECK(visits[{s.device, s.state}] == s.visits);
}

TEST_CASE("two devices alone do not follow themselves from pass to pass",
          "[procedure][closed-form]") {
  const auto plan = planned({device("A"), device("B")});
  for (std::size_t i = 1; i < plan.steps.size(); ++i) {
    CHECK(plan.steps[i].device != plan.steps[i - 1].device);
  }
  // With one device there is nothing to put between, and the plan says so.
  CHECK(mentions(planned({device("A")}).remarks, "A comes twice in a row"));
}

TEST_CASE("every hold keeps what the device can stand", "[procedure][synthetic]") {
  const auto equipment = difficult_equipment();
  const auto plan = planned(equipment);
  for (const PlanStep& step : plan.steps) {
    if (is_set(step)) {
      if (step.device == kEverything) CHECK(step.dwell_s <= 8.0);  // the starter's
      continue;
    }
    const Device& d = named(equipment, step.device);
    INFO(step.number << " " << step.device);
    if (d.max_on_s) CHECK(step.transit_s + step.dwell_s <= *d.max_on_s);
    if (d.min_rest_s) CHECK(step.rest_s >= *d.min_rest_s);
    CHECK(step.transit_s == d.transit_s);
    CHECK(step.dwell_s > 0.0);
    CHECK(step.rest_s >= 12.0);
    CHECK_FALSE(step.why.empty());
  }
}

TEST_CASE("a state called good enough is so by the plan's own times", "[procedure][closed-form]") {
  const auto equipment = difficult_equipment();
  const auto plan = planned(equipment);
  for (const PlannedState& s : plan.states) {
    double information = 0.0, before_s = plan.first_rest_s;
    for (const PlanStep& step : plan.steps) {
      if (step.device == s.device && step.state == s.state) {
        const double rest_s = std::min(step.lead_s > 0.0 ? step.lead_s : before_s, step.rest_s);
        information += 1.0 / plan.noise.visit_variance_uT2(
                                 std::max(step.dwell_s - 4.0, 0.5 * step.dwell_s), rest_s - 4.0);
      }
      before_s = std::max(step.rest_s, step.trail_s);
    }
    // 1.96 sigma against H = 20 uT; the definition of the half-width.
    const double half_deg = std::asin(1.96 / std::sqrt(information) / 20.0) * 180.0 / M_PI;
    INFO(s.device << " " << s.state);
    CHECK(half_deg <= s.half_width.in_deg() + 1e-4);
    CHECK(s.enough == (s.half_width.in_deg() < 0.1));
  }
}

TEST_CASE("a device that may be on briefly is visited more often", "[procedure][closed-form]") {
  auto brief = device("Flap motor", DeviceKind::motor);
  brief.max_on_s = 12;
  const auto plan = planned({device("Lamp"), brief, device("Heater")});
  CHECK(plan.states[1].visits > plan.states[0].visits);
  CHECK(plan.states[1].enough);
  brief.max_on_s = 1;
  const auto hopeless = planned({device("Lamp"), brief, device("Heater")});
  CHECK(hopeless.states[1].visits == 6);
  CHECK_FALSE(hopeless.states[1].enough);
  CHECK(mentions(hopeless.remarks, "Flap motor (on)"));
}

TEST_CASE("a noisier sensor takes longer, and is told when no plan helps",
          "[procedure][closed-form]") {
  PlanOptions noisy = options();
  noisy.noise_uT = 0.2;
  CHECK(planned(difficult_equipment(), noisy).total_s > planned(difficult_equipment()).total_s);
  noisy.noise_uT = 20.0;
  const auto plan = planned({device("Lamp"), device("Heater")}, noisy);
  CHECK_FALSE(plan.states[0].enough);
  CHECK(plan.sentence.find("none") != std::string::npos);
}

TEST_CASE("holds and rests are never all of one length", "[procedure][synthetic]") {
  std::set<double> holds, rests;
  std::vector<Device> alike;
  for (int i = 0; i < 8; ++i) alike.push_back(device("Lamp " + std::to_string(i)));
  for (const PlanStep& step : planned(alike).steps) {
    holds.insert(step.dwell_s);
    rests.insert(step.rest_s);
  }
  CHECK(holds.size() >= 4);
  CHECK(rests.size() >= 3);
}

TEST_CASE("steps that share a caution stay together in each pass and say it once",
          "[procedure][synthetic]") {
  const auto plan = planned(difficult_equipment());
  std::map<std::pair<std::size_t, std::size_t>, std::size_t> runs;  // pass, group -> stretches
  for (std::size_t i = 0; i < plan.steps.size(); ++i) {
    const PlanStep& step = plan.steps[i];
    const bool begins =
        i == 0 || plan.steps[i - 1].group != step.group || plan.steps[i - 1].pass != step.pass;
    if (begins) ++runs[{step.pass, step.group}];
    CHECK(step.caution.empty() == !(begins && step.group != 0));
  }
  for (const auto& [key, count] : runs) {
    if (key.first <= plan.passes) CHECK(count == 1);
  }
  CHECK(mentions(plan.remarks, "jacks"));
  bool jacks = false, arc = false;
  for (const PlanStep& step : plan.steps) {
    if (step.device == "Gear") jacks = step.caution.find("supports under") != std::string::npos;
    if (step.kind == DeviceKind::engine && !step.caution.empty()) {
      arc = step.caution.find("Propeller arc") != std::string::npos &&
            step.caution.find("fire extinguisher") != std::string::npos;
    }
  }
  CHECK(jacks);
  CHECK(arc);
  CHECK(plan.safety.find("local rules") != std::string::npos);
}

TEST_CASE("what another device needs is on before it, with a rest of its own",
          "[procedure][synthetic]") {
  const auto plan = planned(difficult_equipment());
  for (std::size_t i = 0; i < plan.steps.size(); ++i) {
    const PlanStep& step = plan.steps[i];
    if (step.device != "Radio" && step.device != "Transponder") continue;
    CHECK(step.also_on == std::vector<std::string>{"Avionics master"});
    CHECK((step.lead_s > 0.0 || plan.steps[i - 1].also_on == step.also_on));
    CHECK((step.trail_s > 0.0 || plan.steps[i + 1].also_on == step.also_on));
  }
  // A helper with a longest time: rest, hold and rest must fit into it, and it never stays on.
  auto pump = device("Pump", DeviceKind::motor);
  pump.max_on_s = 60;
  auto valve = device("Valve"), second = device("Second valve");
  valve.with = second.with = "Pump";
  for (const PlanStep& step : planned({pump, valve, second, device("Lamp")}).steps) {
    if (is_set(step) || step.also_on.empty()) continue;
    CHECK(step.lead_s > 0.0);
    CHECK(step.trail_s > 0.0);
    CHECK(step.lead_s + step.dwell_s + step.rest_s <= 60.0);
  }
}

TEST_CASE("everything at once and the sets of each phase come last", "[procedure][closed-form]") {
  const auto plan = planned(difficult_equipment());
  std::vector<std::string> last;
  for (const PlanStep& step : plan.steps) {
    if (is_set(step)) last.push_back(step.device);
    CHECK(is_set(step) == (step.pass == plan.passes + 1));
    CHECK(step.half_width.has_value() == !is_set(step));
  }
  CHECK(last == std::vector<std::string>{"*", "phase:cruise", "phase:night", "phase:landing"});
  const PlanStep& everything = plan.steps[plan.steps.size() - 4];
  CHECK(everything.members.size() == 13);
  CHECK(everything.optional);  // an engine and a gear: not on this ground together
  CHECK(everything.caution.find("Skip it unless") != std::string::npos);
  const PlanStep& night = plan.steps[plan.steps.size() - 2];
  CHECK(night.members ==
        std::vector<std::string>{"Position lights", "Landing light (if fitted)", "Radio"});
  CHECK(night.also_on == std::vector<std::string>{"Avionics master"});
}

TEST_CASE("time and ampere hours are the sums of the steps", "[procedure][closed-form]") {
  auto lamp = device("Lamp");
  lamp.current_A = 6.0;
  const auto plan = planned({lamp});
  double seconds = plan.first_rest_s, amp_hours = 0.0;
  for (const PlanStep& step : plan.steps) {
    seconds += step.transit_s * 2 + step.dwell_s + step.rest_s + step.lead_s + step.trail_s;
    amp_hours += 6.0 * step.dwell_s / 3600.0;
  }
  CHECK(plan.total_s == Approx(seconds).epsilon(1e-12));
  CHECK(plan.amp_hours == Approx(amp_hours).epsilon(1e-12));
  CHECK(plan.battery_advice.find("Ah") != std::string::npos);
  CHECK(planned(difficult_equipment()).battery_advice.find("charger") != std::string::npos);
}

TEST_CASE("what cannot be planned for is refused by name", "[procedure][closed-form]") {
  const auto refused = [](const std::vector<Device>& equipment, const PlanOptions& o,
                          const std::string& where, ErrorKind kind) {
    const auto plan = plan_disturbance(equipment, o);
    REQUIRE_FALSE(plan.has_value());
    CHECK(plan.error().where.find(where) != std::string::npos);
    CHECK(plan.error().kind == kind);
  };
  refused({}, options(), "equipment list", ErrorKind::BadInput);
  PlanOptions o = options();
  o.noise_uT = 0.0;
  refused({device("A")}, o, "--noise-uT", ErrorKind::OutOfRange);
  o = options();
  o.rate_Hz = NAN;
  refused({device("A")}, o, "--rate-Hz", ErrorKind::OutOfRange);
  o = options();
  o.limit.value = Angle::degrees(-1.0);
  refused({device("A")}, o, "--limit-deg", ErrorKind::OutOfRange);
  o = options();
  o.earth.horizontal_uT = 0.0;
  refused({device("A")}, o, "--horizontal-uT", ErrorKind::OutOfRange);
}
