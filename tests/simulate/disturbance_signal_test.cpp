// SPDX-License-Identifier: Apache-2.0
#include "simulate/disturbance_signal.h"

#include <catch2/catch.hpp>
#include <cmath>

#include "simulate/disturbance_devices.h"

using namespace qn;
using namespace qn::simulate;

namespace {

DeviceTruth device(DeviceKind kind, double transit_s = 0.0) {
  Device d;
  d.name = "it";
  d.kind = kind;
  d.transit_s = transit_s;
  d.current_A = 6.0;
  return device_with_fields(d, {Vector3{2.0, 0.0, -1.0}});
}

/// On from 10 s to 30 s, 20 samples a second for 60 s.
DeviceSignals signals(const DeviceTruth& truth) {
  std::vector<double> time_s;
  for (int k = 0; k < 1200; ++k) time_s.push_back(k / 20.0);
  DeviceSignals sum{time_s.size()};
  add_device(truth, {{10.0, 0, 1}, {30.0, 0, 0}}, time_s, 0.05, Random{1}, sum);
  return sum;
}

double x_at(const DeviceSignals& sum, double time_s) {
  return sum.field_uT[static_cast<std::size_t>(std::lround(20 * time_s))][0];
}

}  // namespace

TEST_CASE("a steady device is a step from the sample of its switch on", "[simulate][closed-form]") {
  const auto sum = signals(device(DeviceKind::steady));
  CHECK(x_at(sum, 9.95) == 0.0);
  CHECK(x_at(sum, 10.0) == 2.0);
  CHECK(x_at(sum, 29.95) == 2.0);
  CHECK(x_at(sum, 30.0) == 0.0);
  CHECK(sum.current_A[300] == 6.0);
}

TEST_CASE("a heating device comes slowly and leaves a cooling tail", "[simulate][closed-form]") {
  DeviceTruth truth = device(DeviceKind::steady);
  truth.slow_time_s = 4.0;
  truth.states[1].slow_uT = {0.5, 0, 0};
  const auto sum = signals(truth);
  CHECK(x_at(sum, 10) == Approx(1.5).margin(1e-12));
  CHECK(x_at(sum, 14) == Approx(2.0 - 0.5 * std::exp(-1.0)).margin(1e-12));
  const double warm = 0.5 * (1 - std::exp(-5.0));
  CHECK(x_at(sum, 30) == Approx(warm).margin(1e-12));
  CHECK(x_at(sum, 34) == Approx(warm * std::exp(-1.0)).margin(1e-12));
}

TEST_CASE("a pulsing device has its mean, however short the pulses", "[simulate][closed-form]") {
  for (const double duty : {0.05, 0.5}) {
    DeviceTruth truth = device(DeviceKind::pulsing);
    truth.period_s = 0.8;  // 25 whole periods in 20 s
    truth.duty = duty;
    const auto sum = signals(truth);
    double total = 0, most = 0;
    for (const auto& field : sum.field_uT) {
      total += field[0] / 400;  // 400 samples of 20 s
      most = std::max(most, field[0]);
    }
    // A pulse that begins at the switch is in the interval after it: up to one sample of mean.
    CHECK(total == Approx(2.0).margin(0.02));
    CHECK(most == Approx(duty > 0.4 ? 4.0 : 32.0).margin(8.1));
    CHECK(x_at(sum, 31) == 0.0);
  }
}

TEST_CASE("a motor surges and settles", "[simulate][closed-form]") {
  DeviceTruth truth = device(DeviceKind::motor);
  truth.inrush = 3.0;
  truth.inrush_time_s = 0.2;
  const auto sum = signals(truth);
  CHECK(x_at(sum, 10) == Approx(8.0).margin(1e-12));
  CHECK(x_at(sum, 10.2) == Approx(2.0 + 6.0 * std::exp(-1.0)).margin(1e-9));
  CHECK(x_at(sum, 20) == Approx(2.0).margin(1e-12));
  CHECK(x_at(sum, 30) == 0.0);
}

TEST_CASE("moving steel takes a way of its own between two places", "[simulate][closed-form]") {
  DeviceTruth truth = device(DeviceKind::moving, 5.0);
  truth.states[1].path_uT = {0, 3, 0};
  truth.states[1].tilt_roll_deg = 0.2;
  const auto sum = signals(truth);
  CHECK(x_at(sum, 10) == 0.0);
  CHECK(x_at(sum, 12.5) == Approx(1.0).margin(1e-12));  // half way at half time
  CHECK(sum.field_uT[250][1] == Approx(3.0).margin(1e-12));
  CHECK(sum.roll_deg[250] == Approx(0.1).margin(1e-12));
  CHECK(x_at(sum, 15) == Approx(2.0).margin(1e-12));
  CHECK(sum.field_uT[400][1] == Approx(0.0).margin(1e-12));
  CHECK(sum.current_A[250] == 6.0);
  CHECK(sum.current_A[400] == 0.0);
  CHECK(sum.field_uT[650][1] == Approx(3.0).margin(1e-12));  // and on the way back
  CHECK(x_at(sum, 35.5) == 0.0);
}
