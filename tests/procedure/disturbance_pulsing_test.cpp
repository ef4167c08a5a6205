// SPDX-License-Identifier: Apache-2.0
// Devices that come and go by themselves, and what is tied to no mark.
#include <catch2/catch.hpp>
#include <cmath>

#include "procedure/hand_log.h"

using namespace qn;
using namespace qn::tests;

namespace {

constexpr Vector3 kPeak{1.0, 0.4, 0.0};
constexpr double kPeriod_s = 1.3;

Vector3 pulse_at(double t, double on_s, double off_s, double duty) {
  if (t < on_s || t >= off_s) return {};
  const double turns = (t - on_s) / kPeriod_s;
  return turns - std::floor(turns) < duty ? kPeak : Vector3{};
}

HandLog strobe(double duty, double noise_uT = 0.05) {
  HandLog made{420.0, 20.0, noise_uT};
  for (int i = 0; i < 3; ++i) {
    const double on_s = 40.0 + 120.0 * i;
    made.add([&](double t) { return pulse_at(t, on_s, on_s + 30.0, duty); });
    made.mark("strobe", on_s, on_s + 30.0);
  }
  return made;
}

}  // namespace

TEST_CASE("a strobe's period, duty, peak and mean are found", "[procedure][disturbance]") {
  const auto run = strobe(0.3).analyse({device_named("strobe", DeviceKind::pulsing)});
  REQUIRE(run.has_value());
  const DeviceEffect& device = run.value().devices[0];
  REQUIRE(device.pulsing.has_value());
  CHECK(device.pulsing->period_s == Approx(kPeriod_s).margin(0.01));
  CHECK(device.pulsing->duty == Approx(0.3).margin(0.05));
  CHECK(device.pulsing->peak_uT[0] == Approx(1.0).margin(0.1));
  CHECK(device.pulsing->peak_uT[1] == Approx(0.4).margin(0.06));
  CHECK(device.pulsing->mean_uT[0] == Approx(0.3).margin(0.02));
  CHECK_FALSE(device.pulsing->peak_unproven);
  CHECK(device.worst_state().field.field_uT[0] == Approx(0.3).margin(0.02));
  // Switched off in a pause: when, cannot be seen.
  REQUIRE(device.switch_times_s.size() == 6);
  for (std::size_t i = 0; i < 6; ++i) {
    const double truth = 40.0 + 120.0 * static_cast<double>(i / 2) + (i % 2 == 1 ? 30.0 : 0.0);
    CHECK(std::abs(device.switch_times_s[i] - truth) < 3.0 * device.switch_sigma_s[i]);
    CHECK(device.switch_sigma_s[i] > 0.2);
  }
}

TEST_CASE("a steady device does not pulse, whatever the sensor's steps",
          "[procedure][disturbance]") {
  for (const double quantum : {0.0, 0.15, 0.3}) {
    HandLog made{420.0, 20.0, 0.05};
    made.work("lamp", {0.5, 0.2, 0.0}, 40.0, 70.0, 3, 120.0);
    if (quantum > 0.0) {
      for (auto& axis : made.log.field) {
        for (double& y : axis) y = quantum * std::round(y / quantum);
      }
    }
    for (const DeviceKind kind : {DeviceKind::steady, DeviceKind::pulsing}) {
      const auto run = made.analyse({device_named("lamp", kind)});
      REQUIRE(run.has_value());
      CHECK_FALSE(run.value().devices[0].pulsing.has_value());
    }
  }
}

TEST_CASE("a flicker of one step of a coarse sensor is not called pulsing",
          "[procedure][disturbance]") {
  // A slow sway of a twentieth of the step, at the edge between two of them: the reading flickers
  // by a whole step with a clear period, and only while the lamp has moved the field to that edge.
  HandLog made{420.0, 20.0, 0.01};
  made.work("lamp", {0.5, 0.0, 0.0}, 40.0, 70.0, 3, 120.0);
  made.add([](double t) { return Vector3{0.02 * std::sin(2.0 * 3.14159265 * t / 1.7), 0.0, 0.0}; });
  for (double& y : made.log.field[0]) y = std::round(y);  // 15.0 at rest, 15.5 with the lamp
  const auto run = made.analyse({device_named("lamp", DeviceKind::pulsing)});
  REQUIRE(run.has_value());
  CHECK_FALSE(run.value().devices[0].pulsing.has_value());
  // At rest the axis stands on one number: that is not a sensor without noise.
  const StateEffect& state = run.value().devices[0].worst_state();
  CHECK(std::abs(state.field.field_uT[0] - 0.5) < 0.6);
  CHECK(std::sqrt(state.field.covariance_uT2[0][0]) > 0.0);
  CHECK(std::sqrt(state.field.covariance_uT2[0][0]) < 0.5);
}

TEST_CASE("pulses shorter than two samples have a mean and no proven peak",
          "[procedure][disturbance]") {
  // 0.05 s every 1.3 s at 20 Hz: one sample each.
  HandLog made{420.0, 20.0, 0.02};
  for (int i = 0; i < 3; ++i) {
    const double on_s = 40.0 + 120.0 * i;
    made.add([&](double t) {
      if (t < on_s || t >= on_s + 30.0) return Vector3{};
      const double phase = std::fmod(t - on_s, kPeriod_s);
      return phase < 0.05 ? Vector3{2.0, 0.0, 0.0} : Vector3{};
    });
    made.mark("strobe", on_s, on_s + 30.0);
  }
  const auto run = made.analyse({device_named("strobe", DeviceKind::pulsing)});
  REQUIRE(run.has_value());
  const DeviceEffect& device = run.value().devices[0];
  REQUIRE(device.pulsing.has_value());
  CHECK(device.pulsing->peak_unproven);
  CHECK(device.pulsing->mean_uT[0] == Approx(2.0 * 0.05 / kPeriod_s).margin(0.02));
  CHECK_FALSE(device.pulsing->alias_periods_s.empty());
}

TEST_CASE("a train of twice the noise in one sample is found when it lasts 60 s",
          "[procedure][disturbance]") {
  int found = 0;
  for (std::uint64_t seed = 1; seed <= 5; ++seed) {
    HandLog made{420.0, 20.0, 0.1, seed};
    made.work("lamp", {1.0, 0.0, 0.0}, 40.0, 60.0, 3, 120.0);
    // A pump nobody wrote down: amplitude 0.2 uT, every 3.1 s, from 205 to 265 s.
    made.add([](double t) {
      const double phase = std::fmod(t, 3.1);
      return t >= 205.0 && t < 265.0 && phase < 1.2 ? Vector3{0.0, 0.2, 0.0} : Vector3{};
    });
    const auto run = made.analyse({device_named("lamp")});
    REQUIRE(run.has_value());
    for (const Unexplained& event : run.value().unexplained) {
      if (event.kind != Unexplained::Kind::train || !event.period_s) continue;
      const bool there = event.from_s < 265.0 && event.to_s > 205.0;
      if (there && std::abs(*event.period_s - 3.1) < 0.06) {
        ++found;
        break;
      }
    }
  }
  CHECK(found == 5);
}

TEST_CASE("nothing periodic is invented in noise", "[procedure][disturbance]") {
  for (std::uint64_t seed = 1; seed <= 5; ++seed) {
    HandLog made{420.0, 20.0, 0.1, seed};
    made.work("lamp", {1.0, 0.0, 0.0}, 40.0, 60.0, 3, 120.0);
    const auto run = made.analyse({device_named("lamp")});
    REQUIRE(run.has_value());
    CHECK(run.value().unexplained.empty());
  }
}

TEST_CASE("a step that stays and a pulse that goes are told, with their size",
          "[procedure][disturbance]") {
  HandLog made{420.0, 20.0, 0.05};
  made.work("lamp", {1.0, 0.0, 0.0}, 40.0, 60.0, 3, 120.0);
  made.hold({0.0, 0.8, 0.0}, 100.0, 110.0);
  made.hold({0.0, 0.0, 1.5}, 240.0, 1e9);
  const auto run = made.analyse({device_named("lamp")});
  REQUIRE(run.has_value());
  bool pulse = false;
  bool step = false;
  for (const Unexplained& event : run.value().unexplained) {
    if (event.kind == Unexplained::Kind::pulse && std::abs(event.from_s - 100.0) < 2.0) {
      pulse = true;
      CHECK(event.size_uT[1] == Approx(0.8).margin(0.1));
      // asin(0.8 / 20) = 2.29 degrees
      CHECK(event.worst.in_deg() == Approx(2.29).margin(0.3));
    }
    if (event.kind == Unexplained::Kind::step && std::abs(event.from_s - 240.0) < 2.0) step = true;
  }
  CHECK(pulse);
  CHECK(step);
  CHECK(sigmas_off(run.value().devices[0].worst_state(), {1.0, 0.0, 0.0}) < 3.5);
}

TEST_CASE("a device that heats up is given its settled field", "[procedure][disturbance]") {
  HandLog made{660.0, 20.0, 0.05};
  for (int i = 0; i < 3; ++i) {
    const double on_s = 40.0 + 200.0 * i;
    const double off_s = on_s + 40.0;
    made.add([&](double t) {
      double hot = 0.0;
      if (t >= on_s) hot = 1.0 - std::exp(-(std::min(t, off_s) - on_s) / 6.0);
      if (t >= off_s) hot *= std::exp(-(t - off_s) / 6.0);
      const double cold = t >= on_s && t < off_s ? 1.0 : 0.0;
      return Vector3{0.7 * cold + 0.5 * hot, 0.0, 0.0};
    });
    made.mark("heater", on_s, off_s);
  }
  const auto run = made.analyse({device_named("heater")});
  REQUIRE(run.has_value());
  const StateEffect& state = run.value().devices[0].worst_state();
  CHECK(state.field.field_uT[0] == Approx(1.2).margin(0.03));
  CHECK(sigmas_off(state, {1.2, 0.0, 0.0}) < 3.5);
  CHECK(all_remarks(run.value()).find("Climbs") != std::string::npos);
}

TEST_CASE("a train of pulses is followed to its ends and spoils nothing beside them",
          "[procedure][disturbance]") {
  // On for 0.4 of every 3.1 s: its mean is 0.4 uT higher than the rest before and after it. One
  // lamp is worked across each of its ends.
  HandLog made{600.0, 20.0, 0.05};
  made.add([](double t) {
    const double turns = (t - 200.0) / 3.1;
    const bool on = t >= 200.0 && t < 355.0 && turns - std::floor(turns) < 0.4;
    return on ? Vector3{0.0, 1.0, 0.0} : Vector3{};
  });
  made.work("lamp", {0.3, 0.2, 0.0}, 190.0, 215.0, 3, 155.0);  // 190, 345 and 500 s
  made.work("fan", {0.0, 0.0, 0.0}, 260.0, 285.0, 2, 150.0);   // inside it, and after
  const auto run = made.analyse();
  REQUIRE(run.has_value());
  bool found = false;
  for (const Unexplained& event : run.value().unexplained) {
    if (event.kind != Unexplained::Kind::train) continue;
    found = true;
    CHECK(*event.period_s == Approx(3.1).margin(0.03));
    CHECK(event.from_s == Approx(200.0).margin(4.0));
    CHECK(event.to_s == Approx(355.0).margin(4.0));
    CHECK(event.size_uT[1] == Approx(1.0).margin(0.1));
  }
  CHECK(found);
  CHECK(sigmas_off(find_device(run.value(), "lamp")->worst_state(), {0.3, 0.2, 0.0}) < 3.5);
  CHECK(sigmas_off(find_device(run.value(), "fan")->worst_state(), {}) < 3.5);
  for (const StateVisit& visit : find_device(run.value(), "lamp")->worst_state().visits) {
    CHECK(visit.used);
  }
  // A third of a degree is 0.12 uT: the train must not have cost the band.
  CHECK(find_device(run.value(), "fan")->worst_state().heading.worst_95.hi.in_deg() < 0.35);
}

TEST_CASE("pulses shorter than a sample still have a mean", "[procedure][disturbance]") {
  // Samples that are each the mean of the fifth of a second before them, pulses of 0.1 s in 1.3 s.
  HandLog made{420.0, 5.0, 0.05};
  for (int i = 0; i < 3; ++i) {
    const double on_s = 40.0 + 120.0 * i;
    made.add([&](double t) {
      Vector3 sum{};
      for (int part = 0; part < 40; ++part) {
        const Vector3 now =
            pulse_at(t - 0.2 * (part + 0.5) / 40.0, on_s, on_s + 20.8, 0.1 / kPeriod_s);
        for (std::size_t a = 0; a < 3; ++a) sum[a] += 5.0 * now[a] / 40.0;
      }
      return sum;
    });
    made.mark("strobe", on_s, on_s + 20.8);
  }
  const auto run = made.analyse({device_named("strobe", DeviceKind::pulsing)});
  REQUIRE(run.has_value());
  const StateEffect& state = run.value().devices[0].worst_state();
  const double sigma = std::sqrt(state.field.covariance_uT2[0][0]);
  CHECK(state.field.field_uT[0] == Approx(5.0 * 0.1 / kPeriod_s).margin(4.0 * sigma));
  CHECK(sigma < 0.006);  // of 0.385: means at six phases of the period leave 0.018
}

TEST_CASE("a pulse that comes twice in a visit is not read as one twice as fast",
          "[procedure][disturbance]") {
  constexpr double kSlow_s = 2.9;
  HandLog made{420.0, 30.0, 0.05};
  for (int i = 0; i < 3; ++i) {
    const double on_s = 40.0 + 120.0 * i;
    made.add([&](double t) {
      const double since = t - on_s;
      const bool pulse = since >= 0.0 && since < 3.0 * kSlow_s && std::fmod(since, kSlow_s) < 0.45;
      return pulse ? Vector3{1.0, 0.4, 0.0} : Vector3{};
    });
    made.mark("pump", on_s, on_s + 8.7);
  }
  const auto run = made.analyse({device_named("pump", DeviceKind::pulsing)});
  REQUIRE(run.has_value());
  const DeviceEffect& device = run.value().devices[0];
  REQUIRE(device.pulsing.has_value());
  CHECK(device.pulsing->period_s == Approx(kSlow_s).margin(0.02));
  CHECK(device.worst_state().field.field_uT[0] == Approx(0.45 / kSlow_s).margin(0.015));
}

TEST_CASE("a steady device with one bad visit is not called pulsing", "[procedure][disturbance]") {
  HandLog made{420.0, 20.0, 0.05};
  made.work("lamp", {0.5, 0.2, 0.0}, 40.0, 70.0, 3, 120.0);
  made.add([](double t) {  // somebody taps the wing during one visit only
    const bool there = t > 161.0 && t < 189.0;
    return there && std::fmod(t, 2.0) < 0.6 ? Vector3{0.8, 0.0, 0.3} : Vector3{};
  });
  const auto run = made.analyse({device_named("lamp")});
  REQUIRE(run.has_value());
  CHECK_FALSE(run.value().devices[0].pulsing.has_value());
}
