// SPDX-License-Identifier: Apache-2.0
// What must hold for any log: not sizes of one case, but how answers hang together.
#include <catch2/catch.hpp>
#include <cmath>

#include "procedure/hand_log.h"
#include "simulate/attitude.h"
#include "simulate/disturbance_recording_maker.h"

using namespace qn;
using namespace qn::tests;

namespace {

constexpr Vector3 kLamp{1.0, 0.5, -0.3};
constexpr Vector3 kFan{-0.4, 0.8, 0.2};

HandLog two_devices(std::uint64_t seed = 1) {
  HandLog made{420.0, 20.0, 0.05, seed};
  made.work("lamp", kLamp, 40.0, 60.0, 3, 120.0);
  made.work("fan", kFan, 90.0, 112.0, 3, 120.0);
  return made;
}

Vector3 field_of(const DisturbanceRun& run, const std::string& name) {
  const DeviceEffect* device = find_device(run, name);
  REQUIRE(device != nullptr);
  return device->worst_state().field.field_uT;
}

double sigma_of(const DisturbanceRun& run, const std::string& name, std::size_t axis = 0) {
  return std::sqrt(find_device(run, name)->worst_state().field.covariance_uT2[axis][axis]);
}

}  // namespace

TEST_CASE("two plain devices are sized within their sigmas", "[procedure][disturbance]") {
  const auto run = two_devices().analyse();
  REQUIRE(run.has_value());
  CHECK(sigmas_off(find_device(run.value(), "lamp")->worst_state(), kLamp) < 3.5);
  CHECK(sigmas_off(find_device(run.value(), "fan")->worst_state(), kFan) < 3.5);
  CHECK(run.value().unexplained.empty());
  // The worst heading error of a field: asin(1.118 / 20) = 3.20 degrees.
  const double worst = find_device(run.value(), "lamp")->worst_state().heading.worst.in_deg();
  CHECK(worst == Approx(3.20).margin(0.1));
}

TEST_CASE("white noise alone costs what three repeats of 20 s must cost",
          "[procedure][disturbance][closed-form]") {
  // 0.05 uT, 1200 samples on, 5900 with nothing on: 0.05 sqrt(1/1200 + 1/5900) = 0.00158 uT where
  // nothing drifts; a little more, since that has to be found out.
  const auto run = two_devices().analyse();
  REQUIRE(run.has_value());
  const double sigma = sigma_of(run.value(), "lamp");
  CHECK(sigma > 0.00155);
  CHECK(sigma < 0.0030);
}

TEST_CASE("a turned log gives a turned answer", "[procedure][disturbance]") {
  const HandLog made = two_devices();
  const auto plain = made.analyse();
  // Any rotation about the vertical: heading errors know nothing of body axes along the ground.
  const Matrix3 turn = simulate::about_axis({0.0, 0.0, 1.0}, 0.7);
  HandLog turned = made;
  for (std::size_t k = 0; k < turned.log.size(); ++k) {
    const Vector3 b = simulate::product(
        turn, Vector3{made.log.field[0][k], made.log.field[1][k], made.log.field[2][k]});
    for (std::size_t axis = 0; axis < 3; ++axis) turned.log.field[axis][k] = b[axis];
  }
  const auto answer = turned.analyse();
  REQUIRE((plain.has_value() && answer.has_value()));
  for (const char* name : {"lamp", "fan"}) {
    const Vector3 expected = simulate::product(turn, field_of(plain.value(), name));
    const Vector3 got = field_of(answer.value(), name);
    // Each axis weighs its blocks by its own noise, so that equality holds to a part of the sigma.
    for (std::size_t axis = 0; axis < 3; ++axis) {
      CHECK(got[axis] == Approx(expected[axis]).margin(0.7 * sigma_of(plain.value(), name, axis)));
    }
    CHECK(find_device(answer.value(), name)->worst_state().heading.worst.in_deg() ==
          Approx(find_device(plain.value(), name)->worst_state().heading.worst.in_deg())
              .margin(0.01));
  }
}

TEST_CASE("a constant added to the log changes nothing", "[procedure][disturbance]") {
  HandLog made = two_devices();
  const auto plain = made.analyse();
  made.add([](double) { return Vector3{7.0, -3.0, 11.0}; });
  const auto moved = made.analyse();
  REQUIRE((plain.has_value() && moved.has_value()));
  for (const char* name : {"lamp", "fan"}) {
    for (std::size_t axis = 0; axis < 3; ++axis) {
      CHECK(field_of(moved.value(), name)[axis] ==
            Approx(field_of(plain.value(), name)[axis]).margin(1e-4));
    }
  }
}

TEST_CASE("time starts where it likes", "[procedure][disturbance]") {
  HandLog made = two_devices();
  const auto plain = made.analyse();
  for (double& t : made.log.time_s) t += 512.0;
  for (Mark& mark : made.marks) mark.time_s += 512.0;
  const auto later = made.analyse();
  REQUIRE((plain.has_value() && later.has_value()));
  // To a part of the sigma: pieces of time begin elsewhere in the last digit.
  for (std::size_t axis = 0; axis < 3; ++axis) {
    CHECK(field_of(later.value(), "lamp")[axis] ==
          Approx(field_of(plain.value(), "lamp")[axis])
              .margin(0.5 * sigma_of(plain.value(), "lamp", axis)));
  }
}

TEST_CASE("fields add up: with all on at once the measured field is the sum",
          "[procedure][disturbance]") {
  HandLog made{560.0};
  made.work("lamp", kLamp, 40.0, 60.0, 3, 120.0);
  made.work("fan", kFan, 90.0, 112.0, 3, 120.0);
  Vector3 sum{};
  for (std::size_t a = 0; a < 3; ++a) sum[a] = kLamp[a] + kFan[a];
  made.work(std::string{kEverything}, sum, 430.0, 460.0);
  const auto run = made.analyse();
  REQUIRE(run.has_value());
  REQUIRE(run.value().all_on.has_value());
  CHECK(run.value().all_on->agree);

  // A common return adds what none of them shows alone.
  made.hold({0.0, 0.4, 0.0}, 430.0, 460.0);
  const auto more = made.analyse();
  REQUIRE(more.has_value());
  CHECK_FALSE(more.value().all_on->agree);
  // asin(0.4 / 20) = 1.15 degrees
  CHECK(more.value().all_on->difference.in_deg() == Approx(1.15).margin(0.1));
}

TEST_CASE("the same device under two names is reported twice alike", "[procedure][disturbance]") {
  HandLog made{660.0};
  made.work("lamp", kLamp, 40.0, 60.0, 3, 200.0);
  made.work("lamp again", kLamp, 140.0, 160.0, 3, 200.0);
  const auto run = made.analyse();
  REQUIRE(run.has_value());
  const StateEffect& a = find_device(run.value(), "lamp")->worst_state();
  const StateEffect& b = find_device(run.value(), "lamp again")->worst_state();
  CHECK(sigmas_off(a, kLamp) < 3.5);
  CHECK(sigmas_off(b, kLamp) < 3.5);
  CHECK(a.verdict.state == b.verdict.state);
}

TEST_CASE("drift is not taken for a device, nor a device for drift", "[procedure][disturbance]") {
  HandLog made = two_devices();
  made.add([](double t) {
    const double warm = 1.0 - std::exp(-t / 300.0);
    return Vector3{4.0 * warm, -2.0 * warm, 3.0 * warm};
  });
  const auto run = made.analyse();
  REQUIRE(run.has_value());
  CHECK(sigmas_off(find_device(run.value(), "lamp")->worst_state(), kLamp) < 3.5);
  CHECK(sigmas_off(find_device(run.value(), "fan")->worst_state(), kFan) < 3.5);
  CHECK(sigma_of(run.value(), "lamp") < 0.01);
}

TEST_CASE("the order is by size, the worst first", "[procedure][disturbance]") {
  HandLog made{660.0};
  made.work("small", {0.1, 0, 0}, 40.0, 60.0, 3, 200.0);
  made.work("large", {2.0, 0, 0}, 100.0, 120.0, 3, 200.0);
  made.work("middle", {0.7, 0, 0}, 160.0, 180.0, 3, 200.0);
  const auto run = made.analyse();
  REQUIRE(run.has_value());
  REQUIRE(run.value().devices.size() == 3);
  CHECK(run.value().devices[0].name == "large");
  CHECK(run.value().devices[1].name == "middle");
  CHECK(run.value().devices[2].name == "small");
}

TEST_CASE("the same input gives the same digits", "[procedure][disturbance]") {
  const auto once = two_devices().analyse();
  const auto twice = two_devices().analyse();
  REQUIRE((once.has_value() && twice.has_value()));
  CHECK(field_of(once.value(), "lamp") == field_of(twice.value(), "lamp"));
}

TEST_CASE("flaps carry the tilt they may cause, unless the airframe is said to be rigid",
          "[procedure][disturbance][closed-form]") {
  HandLog made{420.0, 20.0, 0.02};
  made.work("flaps", {0.0, 0.0, 0.0}, 40.0, 80.0, 3, 120.0);
  made.work("lamp", {0.0, 0.0, 0.0}, 100.0, 130.0, 2, 120.0);
  DisturbanceOptions options =
      HandLog::options_for({device_named("flaps", DeviceKind::moving), device_named("lamp")});
  const auto may_tilt = analyse_disturbance(made.log, made.marks, options, serial_for);
  options.rigid = true;
  const auto rigid = analyse_disturbance(made.log, made.marks, options, serial_for);
  REQUIRE((may_tilt.has_value() && rigid.has_value()));
  const auto variance = [](const Result<DisturbanceRun>& run, const char* name, std::size_t axis) {
    return find_device(run.value(), name)->states[0].field.covariance_uT2[axis][axis];
  };
  // 0.2 degree about x turns (Bx, By, Bz) by (0, -Bz, By) x angle, about y by (Bz, 0, -Bx) x angle.
  const double angle = Angle::degrees(0.2).in_rad();
  const Vector3& rest = HandLog::kRest_uT;
  const Vector3 expected{rest[2] * rest[2], rest[2] * rest[2],
                         rest[0] * rest[0] + rest[1] * rest[1]};
  for (std::size_t axis = 0; axis < 3; ++axis) {
    CHECK(variance(may_tilt, "flaps", axis) - variance(rigid, "flaps", axis) ==
          Approx(angle * angle * expected[axis]).epsilon(0.01));
    CHECK(variance(may_tilt, "lamp", axis) == variance(rigid, "lamp", axis));
  }
}

TEST_CASE("a logged tilt of the airframe is taken out, by roll and pitch or by gravity",
          "[procedure][disturbance][closed-form]") {
  constexpr double kTilt_deg = 0.3;
  HandLog made{420.0, 20.0, 0.02};
  made.work("flaps", {0.4, 0.0, 0.0}, 40.0, 80.0, 3, 120.0);
  const double sine = std::sin(Angle::degrees(kTilt_deg).in_rad());
  const double cosine = std::cos(Angle::degrees(kTilt_deg).in_rad());
  const auto tilted = [](double t) {
    const double in_cycle = std::fmod(t - 40.0, 120.0);
    return t >= 40.0 && t < 400.0 && in_cycle >= 0.0 && in_cycle < 40.0;
  };
  // The nose goes up by 0.3 degree with the flaps: what points forward and down turns about y.
  for (std::size_t k = 0; k < made.log.size(); ++k) {
    const bool up = tilted(made.log.time_s[k]);
    if (up) {
      const double x = made.log.field[0][k];
      const double z = made.log.field[2][k];
      made.log.field[0][k] = x * cosine - z * sine;
      made.log.field[2][k] = x * sine + z * cosine;
    }
    made.log.roll_deg.push_back(0.0);
    made.log.pitch_deg.push_back(up ? kTilt_deg : 0.0);
  }
  const DisturbanceOptions options =
      HandLog::options_for({device_named("flaps", DeviceKind::moving)});
  const auto by_angles = analyse_disturbance(made.log, made.marks, options, serial_for);
  SensorRecording with_gravity = made.log;
  with_gravity.roll_deg.clear();
  with_gravity.pitch_deg.clear();
  for (const double pitch : made.log.pitch_deg) {  // specific force: (0, 0, -1) g when level
    with_gravity.accel_g[0].push_back(std::sin(Angle::degrees(pitch).in_rad()));
    with_gravity.accel_g[1].push_back(0.0);
    with_gravity.accel_g[2].push_back(-std::cos(Angle::degrees(pitch).in_rad()));
  }
  const auto by_gravity = analyse_disturbance(with_gravity, made.marks, options, serial_for);
  SensorRecording unknown = with_gravity;
  for (auto& axis : unknown.accel_g) axis.clear();
  const auto not_logged = analyse_disturbance(unknown, made.marks, options, serial_for);
  REQUIRE((by_angles.has_value() && by_gravity.has_value() && not_logged.has_value()));
  const Vector3 truth{0.4, 0.0, 0.0};
  CHECK(sigmas_off(by_angles.value().devices[0].worst_state(), truth) < 3.5);
  CHECK(sigmas_off(by_gravity.value().devices[0].worst_state(), truth) < 3.5);
  const auto sigma = [](const Result<DisturbanceRun>& run) {
    return std::sqrt(run.value().devices[0].worst_state().field.covariance_uT2[0][0]);
  };
  // Unseen, it is in the estimate, and the allowance of 0.2 degree is in the band.
  CHECK(std::abs(not_logged.value().devices[0].worst_state().field.field_uT[0] - 0.4) > 0.1);
  CHECK(sigma(not_logged) > 5.0 * sigma(by_angles));
}
