// SPDX-License-Identifier: Apache-2.0
// The five things that go wrong on a real run, each alone and all at once.
#include <catch2/catch.hpp>
#include <cmath>
#include <cstdint>
#include <initializer_list>

#include "procedure/hand_log.h"
#include "simulate/disturbance_recording_maker.h"

using namespace qn;
using namespace qn::tests;

namespace {

constexpr Vector3 kLamp{1.0, 0.5, -0.3};
constexpr Vector3 kFan{-0.4, 0.8, 0.2};
constexpr Vector3 kPump{0.1, -0.9, 0.6};

bool says(const DisturbanceRun& run, const std::string& words) {
  return all_remarks(run).find(words) != std::string::npos;
}

/// Three devices, three times each, as it should be, but that the second lamp step was `lamp2`.
HandLog with_second_lamp(const Vector3& lamp2) {
  HandLog made{660.0};
  made.work("fan", kFan, 90.0, 112.0, 3, 200.0);
  made.work("pump", kPump, 150.0, 170.0, 3, 200.0);
  for (int i = 0; i < 3; ++i) {
    const double on_s = 40.0 + 200.0 * i;
    made.hold(i == 1 ? lamp2 : kLamp, on_s, on_s + 20.0).mark("lamp", on_s, on_s + 20.0);
  }
  return made;
}

}  // namespace

TEST_CASE("a skipped step is set aside and said", "[procedure][disturbance]") {
  const auto run = with_second_lamp({}).analyse();
  REQUIRE(run.has_value());
  CHECK(sigmas_off(find_device(run.value(), "lamp")->worst_state(), kLamp) < 3.5);
  CHECK(find_device(run.value(), "lamp")->repeats == 2);
  CHECK(says(run.value(), "likely skipped"));
}

TEST_CASE("a substituted step is set aside and named", "[procedure][disturbance]") {
  const auto run = with_second_lamp(kFan).analyse();
  REQUIRE(run.has_value());
  CHECK(sigmas_off(find_device(run.value(), "lamp")->worst_state(), kLamp) < 3.5);
  CHECK(says(run.value(), "fan"));
}

TEST_CASE("swapped labels of a pair leave nothing averaged and called sure",
          "[procedure][disturbance]") {
  HandLog made{420.0};
  made.hold(kLamp, 40.0, 60.0).mark("lamp", 40.0, 60.0);
  made.hold(kFan, 100.0, 120.0).mark("lamp", 100.0, 120.0);
  made.hold(kFan, 160.0, 180.0).mark("fan", 160.0, 180.0);
  made.hold(kLamp, 220.0, 240.0).mark("fan", 220.0, 240.0);
  const auto run = made.analyse();
  REQUIRE(run.has_value());
  for (const char* name : {"lamp", "fan"}) {
    const StateEffect& state = find_device(run.value(), name)->worst_state();
    CHECK(state.verdict.state == VerdictState::unproven);
    CHECK_FALSE(state.verdict.do_next.empty());
  }
  CHECK(says(run.value(), "disagree"));
}

TEST_CASE("all five faults at once spoil no device and are all said", "[procedure][disturbance]") {
  HandLog made{860.0, 20.0, 0.08, 3};
  // Marks late by a second, one by 5 s.
  const auto worked = [&](const char* name, const Vector3& b, double on_s, double late_s) {
    made.hold(b, on_s, on_s + 20.0);
    made.mark(name, on_s + late_s, on_s + 21.0);
  };
  for (int i = 0; i < 3; ++i) {
    const double at_s = 40.0 + 250.0 * i;
    worked("lamp", i == 1 ? Vector3{} : kLamp, at_s, i == 2 ? 5.0 : 1.0);  // skipped, late
    worked("fan", i == 2 ? kPump : kFan, at_s + 60.0, 1.0);                // substituted
    worked("pump", kPump, at_s + 120.0, 1.0);
    worked("radio", {}, at_s + 180.0, 1.0);  // does nothing
  }
  made.hold({0.7, 0.7, 0.0}, 264.0, 272.0);  // a car
  made.add([](double t) {                    // a pump on its own cycle
    return t >= 780.0 && t < 850.0 && std::fmod(t, 4.0) < 1.5 ? Vector3{0.0, 0.4, 0.3} : Vector3{};
  });
  made.add([](double t) {  // warming up
    const double warm = 1.0 - std::exp(-t / 400.0);
    return Vector3{2.0 * warm, -1.0 * warm, 1.5 * warm};
  });
  const auto run = made.analyse();
  REQUIRE(run.has_value());
  INFO(all_remarks(run.value()));
  CHECK(sigmas_off(find_device(run.value(), "lamp")->worst_state(), kLamp) < 3.5);
  CHECK(sigmas_off(find_device(run.value(), "fan")->worst_state(), kFan) < 3.5);
  CHECK(sigmas_off(find_device(run.value(), "pump")->worst_state(), kPump) < 3.5);
  CHECK(find_device(run.value(), "radio")->worst_state().no_effect_seen);
  CHECK(says(run.value(), "likely skipped"));
  CHECK(says(run.value(), "looks like: pump"));
  CHECK(says(run.value(), "late"));
  bool train = false;
  bool car = false;
  for (const Unexplained& event : run.value().unexplained) {
    train = train || (event.kind == Unexplained::Kind::train && event.from_s > 760.0);
    car = car || (event.kind == Unexplained::Kind::pulse && std::abs(event.from_s - 264.0) < 3.0);
  }
  CHECK(train);
  CHECK(car);
  CHECK(run.value().noise.drift_uT_per_min > 0.0);
  CHECK_FALSE(run.value().sentence.empty());
}

namespace {

void quiet_devices_stay_quiet(std::initializer_list<std::uint64_t> seeds) {
  for (const std::uint64_t seed : seeds) {
    const auto equipment = simulate::invented_equipment(12, seed);
    auto settings = *simulate::disturbance_preset("ordinary");
    settings.effects.zero_share = 1.0;
    settings.unplanned.pulses = settings.unplanned.trains = 0;
    const auto made = simulate::make_disturbance_run(equipment, settings, seed);
    const auto run = analyse_disturbance(made.recording, made.marks,
                                         HandLog::options_for(equipment), serial_for);
    REQUIRE(run.has_value());
    for (const DeviceEffect& device : run.value().devices) {
      INFO("seed " << seed << ", " << device.name);
      CHECK(device.worst_state().verdict.state != VerdictState::over);
    }
  }
}

}  // namespace

// Seeds on which this once went wrong.
TEST_CASE("devices of no effect are not reported over the limit in a faulty run",
          "[procedure][disturbance][synthetic]") {
  quiet_devices_stay_quiet({500040U});
}

TEST_CASE("nor are they in five more", "[procedure][disturbance][synthetic][long]") {
  quiet_devices_stay_quiet({500021U, 500031U, 11U, 12U, 13U});
}
