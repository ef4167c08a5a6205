// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>

#include "estimation/gaussian_draws.h"
#include "procedure/cure_order_internal.h"
#include "procedure/strongest_sum_internal.h"

namespace {

using Devices = std::vector<qn::PlaneDevice>;

std::vector<double> unit_draws(std::size_t count, std::uint64_t seed) {
  qn::SquareMatrix one{1};
  one(0, 0) = 1.0;
  return qn::gaussian_draws(one, count, seed);
}

// Every choice of every device, one after the other.
double longest_by_trying(const Devices& devices, std::size_t d = 0, qn::PlaneField sum = {}) {
  if (d == devices.size()) return std::hypot(sum.x, sum.y);
  double longest = 0.0;
  if (devices[d].may_be_off) longest = longest_by_trying(devices, d + 1, sum);
  for (const auto& v : devices[d].states) {
    longest = std::max(longest, longest_by_trying(devices, d + 1, {sum.x + v.x, sum.y + v.y}));
  }
  return longest;
}

Devices random_devices(std::size_t count, std::uint64_t seed) {
  const auto draws = unit_draws(8 * count, seed);
  Devices devices;
  for (std::size_t d = 0; d < count; ++d) {
    // Opposite pairs of draws lie side by side: take x and y from different ones.
    const double* z = &draws[8 * d];
    qn::PlaneDevice device{
        std::string(1, 'd').append(std::to_string(d)), {{z[0], z[2]}}, z[4] > 0.0};
    if (d % 3 == 0) device.states.push_back({z[2], z[6]});
    if (d % 6 == 0) device.states.push_back({-0.5 * z[6], z[0]});
    devices.push_back(device);
  }
  return devices;
}

Devices mandatory(const std::vector<std::pair<std::string, qn::PlaneField>>& list) {
  Devices devices;
  for (const auto& [name, field] : list) devices.push_back({name, {field}, false});
  return devices;
}

}  // namespace

TEST_CASE("the strongest sum is what trying every choice finds", "[strongest_sum][closed-form]") {
  for (std::uint64_t seed = 1; seed <= 200; ++seed) {
    const Devices devices = random_devices(1 + seed % 9, seed);
    const qn::StrongestSum found = qn::strongest_sum(devices);
    CHECK(found.length == Approx(longest_by_trying(devices)).epsilon(1e-12).margin(1e-15));
    qn::PlaneField sum;
    for (std::size_t d = 0; d < devices.size(); ++d) {
      if (found.state[d] == qn::StrongestSum::kOff) {
        CHECK(devices[d].may_be_off);
        continue;
      }
      sum.x += devices[d].states[found.state[d]].x;
      sum.y += devices[d].states[found.state[d]].y;
    }
    CHECK(found.length == Approx(std::hypot(sum.x, sum.y)));
  }
}

TEST_CASE("the quick strongest sum is never longer and almost always equal",
          "[strongest_sum][closed-form]") {
  std::size_t equal = 0;
  for (std::uint64_t seed = 1; seed <= 200; ++seed) {
    const Devices devices = random_devices(2 + seed % 12, 1000 + seed);
    std::vector<double> states;
    for (const auto& device : devices) {
      for (const auto& v : device.states) states.insert(states.end(), {v.x, v.y});
    }
    const double exact = qn::strongest_sum(devices).length;
    const double quick = qn::StrongestSumNear{devices}.length(states);
    CHECK(quick <= exact * (1.0 + 1e-12));
    CHECK(quick >= 0.92 * exact);  // 8 directions: within cos(22.5 degrees)
    if (quick > exact * (1.0 - 1e-9)) ++equal;
  }
  CHECK(equal >= 190);
}

TEST_CASE("opposite optional devices are not on together", "[strongest_sum][closed-form]") {
  const Devices devices{{"base", {{1.0, 0.0}}, false},
                        {"with", {{0.5, 0.1}}, true},
                        {"against", {{-0.8, 0.0}}, true},
                        {"nothing", {{0.0, 0.0}}, true}};
  const auto found = qn::strongest_sum(devices);
  CHECK(found.length == Approx(std::hypot(1.5, 0.1)));
  CHECK(found.state[1] == 0);
  CHECK(found.state[2] == qn::StrongestSum::kOff);
  CHECK(found.state[3] == qn::StrongestSum::kOff);
  CHECK(qn::strongest_sum({}).length == 0.0);
}

TEST_CASE("the cure that helps most is not the largest when that one cancels",
          "[cure_order][closed-form]") {
  // a and b cancel; c is smaller than either and the only one worth curing.
  const Devices devices = mandatory({{"a", {2.0, 0.0}}, {"b", {-2.0, 0.1}}, {"c", {0.0, 1.0}}});
  const auto cure = qn::best_cure({devices});
  REQUIRE(cure.has_value());
  CHECK(cure->device == "c");
  CHECK(cure->length_uT == Approx(0.1));
  CHECK(qn::fewest_cures({devices}, 0.5) == std::vector<std::string>{"c"});
}

TEST_CASE("cures by hand", "[cure_order][closed-form]") {
  const Devices row = mandatory({{"a", {1.0, 0.0}}, {"b", {3.0, 0.0}}, {"c", {2.0, 0.0}}});
  CHECK(qn::fewest_cures({row}, 6.0).empty());
  CHECK(qn::fewest_cures({row}, 3.0) == std::vector<std::string>{"b"});
  CHECK(qn::fewest_cures({row}, 1.0) == std::vector<std::string>{"b", "c"});
  CHECK(qn::fewest_cures({row}, 0.5) == std::vector<std::string>{"b", "c", "a"});
  // Taking the best first (c, which leaves 2.2) would need three; two are enough.
  const Devices trap = mandatory({{"a", {2.0, 2.0}}, {"b", {2.0, -2.0}}, {"c", {2.5, 0.0}}});
  CHECK(qn::best_cure({trap}).has_value());
  CHECK(qn::fewest_cures({trap}, 2.6).size() == 2);
  // Nothing to cure where nothing disturbs.
  CHECK_FALSE(qn::best_cure({mandatory({{"a", {0.0, 0.0}}})}).has_value());
  CHECK_FALSE(qn::best_cure({}).has_value());
}

TEST_CASE("one cure serves every phase that the device is on in", "[cure_order][closed-form]") {
  const Devices taxi = mandatory({{"pump", {1.5, 0.0}}, {"light", {0.4, 0.0}}});
  const Devices cruise = mandatory({{"pump", {1.5, 0.0}}, {"radio", {0.0, 0.9}}});
  CHECK(qn::fewest_cures({taxi, cruise}, 1.0) == std::vector<std::string>{"pump"});
  CHECK(qn::fewest_cures({taxi, cruise}, 0.5) == std::vector<std::string>{"pump", "radio"});
}

TEST_CASE("no smaller set of cures does it", "[cure_order][closed-form]") {
  for (std::uint64_t seed = 1; seed <= 40; ++seed) {
    const std::vector<Devices> phases{random_devices(7, 2 * seed), random_devices(5, 2 * seed + 1)};
    double now = 0.0;
    for (const auto& phase : phases) now = std::max(now, qn::strongest_sum(phase).length);
    const double allowed = 0.45 * now;
    const auto cures = qn::fewest_cures(phases, allowed);
    const auto left_without = [&](unsigned set) {  // bit d: device d<d> cured
      double longest = 0.0;
      for (const auto& phase : phases) {
        Devices rest;
        for (const auto& device : phase) {
          if ((set >> std::stoul(device.name.substr(1)) & 1U) == 0) rest.push_back(device);
        }
        longest = std::max(longest, longest_by_trying(rest));
      }
      return longest;
    };
    unsigned chosen = 0;
    for (const auto& name : cures) chosen |= 1U << std::stoul(name.substr(1));
    CHECK(left_without(chosen) <= allowed * (1.0 + 1e-9));
    std::size_t fewest = 99;
    double least = 0.0;
    for (unsigned set = 0; set < 128; ++set) {
      std::size_t size = 0;
      for (unsigned d = 0; d < 7; ++d) size += set >> d & 1U;
      const double left = left_without(set);
      if (left > allowed || size > fewest) continue;
      least = size < fewest ? left : std::min(least, left);
      fewest = size;
    }
    if (fewest <= 3) {
      CHECK(cures.size() == fewest);
      CHECK(left_without(chosen) == Approx(least));
    } else {
      CHECK(cures.size() >= fewest);
    }
  }
}
