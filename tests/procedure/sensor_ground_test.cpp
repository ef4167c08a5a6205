// SPDX-License-Identifier: Apache-2.0
#include <catch2/catch.hpp>
#include <cmath>
#include <limits>
#include <numbers>
#include <vector>

#include "procedure/sensor_ground_internal.h"
#include "simulate/attitude.h"
#include "simulate/random.h"

using qn::sensor_model::learn_ground;

namespace {

constexpr double kRad = std::numbers::pi / 180.0;

struct Columns {
  std::vector<double> time_s, heading, roll, pitch;
  void add(double t, double heading_deg, double roll_deg, double pitch_deg) {
    time_s.push_back(t);
    heading.push_back(heading_deg * kRad);
    roll.push_back(roll_deg * kRad);
    pitch.push_back(pitch_deg * kRad);
  }
};

// Slope 1 degree up to the north and 2 to the east, the aircraft rolled 3 right and 4 nose up on
// its wheels. By hand, pitch = 4 + cos h + 2 sin h and roll = 3 + sin h - 2 cos h.
Columns by_hand(double seconds_each) {
  Columns out;
  const double headings[] = {0, 90, 180, 270};
  const double rolls[] = {1, 4, 5, 2};
  const double pitches[] = {5, 6, 3, 2};
  for (std::size_t k = 0; k < 4; ++k) {
    for (int s = 0; s < 50; ++s) {
      out.add(seconds_each * (static_cast<double>(k) + s / 50.0), headings[k], rolls[k],
              pitches[k]);
    }
  }
  return out;
}

Columns all_round(std::size_t count, double seconds, double (*roll)(double),
                  double (*pitch)(double)) {
  Columns out;
  for (std::size_t k = 0; k < count; ++k) {
    const double turn = static_cast<double>(k) / static_cast<double>(count);
    const double h = 360.0 * turn;
    out.add(seconds * turn, h, roll(h * kRad), pitch(h * kRad));
  }
  return out;
}

double rolled(double h) { return 3.0 + std::sin(h) - 2.0 * std::cos(h); }
double pitched(double h) { return 4.0 + std::cos(h) + 2.0 * std::sin(h); }

}  // namespace

TEST_CASE("slope and the aircraft's own tilt are told apart", "[procedure][closed-form]") {
  const auto c = all_round(720, 72.0, rolled, pitched);
  const auto ground = learn_ground(c.time_s, c.heading, c.roll, c.pitch, 0.1 * kRad);
  REQUIRE(ground);
  CHECK(ground->slope_north_rad / kRad == Approx(1.0).margin(1e-9));
  CHECK(ground->slope_east_rad / kRad == Approx(2.0).margin(1e-9));
  CHECK(ground->deck_roll_rad / kRad == Approx(3.0).margin(1e-9));
  CHECK(ground->deck_pitch_rad / kRad == Approx(4.0).margin(1e-9));
}

TEST_CASE("four numbers worked by hand at the cardinal headings", "[procedure][closed-form]") {
  // Only four headings fill 4 of 36 cells: too few. Two more, at 30 and 210 degrees: cos 30 =
  // 0.8660, sin 30 = 0.5, so pitch = 4 +- (0.8660 + 1.0), roll = 3 +- (0.5 - 1.7321).
  Columns c = by_hand(10.0);
  CHECK_FALSE(learn_ground(c.time_s, c.heading, c.roll, c.pitch, 0.0));
  c.add(41.0, 30, 3 - 1.2320508, 4 + 1.8660254);
  c.add(42.0, 210, 3 + 1.2320508, 4 - 1.8660254);
  const auto ground = learn_ground(c.time_s, c.heading, c.roll, c.pitch, 0.0);
  REQUIRE(ground);
  CHECK(ground->slope_north_rad / kRad == Approx(1.0).margin(1e-6));
  CHECK(ground->slope_east_rad / kRad == Approx(2.0).margin(1e-6));
  CHECK(ground->deck_roll_rad / kRad == Approx(3.0).margin(1e-6));
  CHECK(ground->deck_pitch_rad / kRad == Approx(4.0).margin(1e-6));
}

TEST_CASE("the signs are those of an aircraft standing on a slope", "[procedure][synthetic]") {
  // The simulator's own geometry. It is exact, ours is first order in the tilt: at 1.5 degrees of
  // deck and 1 of slope the products left out are at most 0.03 degrees.
  Columns c;
  for (int h = 0; h < 360; ++h) {
    const auto a = qn::simulate::attitude_of(
        qn::simulate::body_from_earth_on_ground(h, {1.0, -0.6}, {0.8, 1.5}));
    c.add(0.2 * h, h, a.roll_deg, a.pitch_deg);
  }
  const auto ground = learn_ground(c.time_s, c.heading, c.roll, c.pitch, 0.0);
  REQUIRE(ground);
  CHECK(ground->slope_north_rad / kRad == Approx(1.0).margin(0.03));
  CHECK(ground->slope_east_rad / kRad == Approx(-0.6).margin(0.03));
  CHECK(ground->deck_roll_rad / kRad == Approx(0.8).margin(0.03));
  CHECK(ground->deck_pitch_rad / kRad == Approx(1.5).margin(0.03));
}

TEST_CASE("samples without attitude or heading do not count", "[procedure][closed-form]") {
  auto c = all_round(720, 72.0, rolled, pitched);
  const double nan = std::numeric_limits<double>::quiet_NaN();
  for (std::size_t k = 0; k < 720; k += 3) c.roll[k] = nan;
  for (std::size_t k = 1; k < 720; k += 3) c.heading[k] = nan;
  const auto ground = learn_ground(c.time_s, c.heading, c.roll, c.pitch, 0.0);
  REQUIRE(ground);
  CHECK(ground->slope_east_rad / kRad == Approx(2.0).margin(1e-9));
  for (double& p : c.pitch) p = nan;
  CHECK_FALSE(learn_ground(c.time_s, c.heading, c.roll, c.pitch, 0.0));
}

TEST_CASE("a short arc cannot tell slope from tilt", "[procedure][closed-form]") {
  Columns c;
  for (int k = 0; k < 400; ++k) c.add(0.1 * k, 0.1 * k, 1.0, 2.0);
  CHECK_FALSE(learn_ground(c.time_s, c.heading, c.roll, c.pitch, 0.0));
  CHECK_FALSE(learn_ground({}, {}, {}, {}, 0.0));
}

TEST_CASE("the constant error of the columns is in the tilt and not in the slope",
          "[procedure][closed-form]") {
  const auto c = all_round(720, 72.0, rolled, pitched);
  const auto exact = learn_ground(c.time_s, c.heading, c.roll, c.pitch, 0.0);
  const auto doubtful = learn_ground(c.time_s, c.heading, c.roll, c.pitch, 0.3 * kRad);
  REQUIRE(exact);
  REQUIRE(doubtful);
  CHECK(doubtful->sigma_deck_rad / kRad == Approx(0.3).margin(1e-6));
  CHECK(doubtful->sigma_slope_rad == exact->sigma_slope_rad);
  CHECK(exact->sigma_slope_rad / kRad == Approx(0.0172).margin(1e-3));  // the floor: 0.0003 rad
}

TEST_CASE("the slope's sigma is as large as its errors", "[procedure][synthetic]") {
  // 200 turns of 200 s with white noise of 0.5 degrees at 10 Hz and a slow part. The mean square of
  // error over sigma is 1; it scatters by 7 % for 400 independent errors, and sigma itself, from 20
  // batches, by 18 %, so that 0.6 to 1.6 holds by a wide margin and a factor 1.5 in sigma fails.
  double square = 0.0;
  for (std::uint64_t seed = 1; seed <= 200; ++seed) {
    qn::simulate::Random random{seed};
    Columns c;
    double slow_roll = 0.0;
    double slow_pitch = 0.0;
    for (int k = 0; k < 2000; ++k) {
      const double h = 360.0 * k / 2000.0;
      const double phi = std::exp(-0.1 / 2.0);
      slow_roll = phi * slow_roll + 0.3 * std::sqrt(1.0 - phi * phi) * random.normal();
      slow_pitch = phi * slow_pitch + 0.3 * std::sqrt(1.0 - phi * phi) * random.normal();
      c.add(0.1 * k, h, rolled(h * kRad) + slow_roll + 0.5 * random.normal(),
            pitched(h * kRad) + slow_pitch + 0.5 * random.normal());
    }
    const auto ground = learn_ground(c.time_s, c.heading, c.roll, c.pitch, 0.0);
    REQUIRE(ground);
    const double north = (ground->slope_north_rad - 1.0 * kRad) / ground->sigma_slope_rad;
    const double east = (ground->slope_east_rad - 2.0 * kRad) / ground->sigma_slope_rad;
    square += 0.5 * (north * north + east * east) / 200.0;
  }
  CHECK(square > 0.6);
  CHECK(square < 1.6);
}
