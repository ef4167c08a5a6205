// SPDX-License-Identifier: Apache-2.0
#include "procedure/run_listener.h"

#include <catch2/catch.hpp>
#include <cmath>

#include "procedure/plan_times_internal.h"
#include "procedure/run_hand.h"
#include "simulate/random.h"

using namespace qn;
using run::EventKind;
using test::Hand;

namespace {

std::vector<double> ends_of_waits(double factor) {
  auto equipment = test::hand_equipment();
  auto settings = test::hand_settings();
  // Effects so many times as large, the noise the same to the bit. Powers of two, and an Earth's
  // field of nothing, keep the noise's last bits from being rounded away differently.
  settings.effects.worst_deg = {1.5 * factor, 1.5 * factor + 1e-9};
  Hand hand{equipment, settings};
  hand.late_s = 0.0;
  hand.go();
  std::vector<double> ends;
  for (const run::Event& e : hand.engine.state().journal) {
    if (e.kind == EventKind::held) ends.push_back(e.time_s);
  }
  return ends;
}

}  // namespace

TEST_CASE("when a wait is over does not depend on what was read", "[procedure][synthetic]") {
  const auto small = ends_of_waits(1.0);
  const auto large = ends_of_waits(8.0);
  REQUIRE(small.size() == large.size());
  for (std::size_t i = 0; i < small.size(); ++i) CHECK(small[i] == large[i]);
}

TEST_CASE("white noise and drift are told from differences of block means",
          "[procedure][closed-form]") {
  // White noise of 0.2 uT at 20 samples a second: R = 0.04 / 20 = 0.002 uT^2 s. A walk of
  // 0.01 uT^2/s beside it is found within a factor of two.
  for (const double walk : {0.0, 0.01}) {
    simulate::Random random{11};
    run::Blocks blocks;
    run::RunningNoise noise{0.0005, 1e-5};
    Vector3 level{};
    for (int b = 0; b < 400; ++b) {
      Vector3 mean{};
      for (std::size_t i = 0; i < 3; ++i) {
        double sum = 0.0;
        for (int k = 0; k < 20; ++k) {
          level[i] += std::sqrt(walk / 20.0) * random.normal();
          sum += level[i] + 0.2 * random.normal();
        }
        mean[i] = sum / 20.0;
      }
      blocks.add({static_cast<double>(b), mean});
      noise.take(blocks, static_cast<double>(b) + 1.0);
    }
    INFO(walk);
    if (walk == 0.0) {
      CHECK(noise.R_uT2_s() == Approx(0.002).epsilon(0.3));
      CHECK(noise.q_uT2_per_s() < 2e-4);
    } else {
      CHECK(noise.q_uT2_per_s() > 0.003);
      CHECK(noise.q_uT2_per_s() < 0.02);
    }
  }
}

TEST_CASE("a device that must not stay on is asked back in time, samples or not",
          "[procedure][synthetic]") {
  Hand hand{test::hand_equipment()};
  hand.go();
  const run::State& s = hand.engine.state();
  double on_s = -1.0;
  for (const Mark& m : s.marks) {
    if (m.device != "Trim") continue;
    if (m.state == "up") on_s = m.time_s;
    if (m.state == "neutral") CHECK(m.time_s - on_s <= 16.0);
  }
  CHECK(on_s > 0.0);

  // The cable is out: time alone.
  Hand other{test::hand_equipment()};
  while (!(other.engine.state().waits_at_work() && other.engine.state().step().device == "Trim")) {
    other.step();
  }
  bool asked = false;
  for (double t = other.now_s; t < other.now_s + 20.0 && !asked; t += 1.0) {
    for (const run::Event& e : other.engine.time_is(t)) {
      asked = asked || e.why == run::HeldWhy::device_limit;
      other.engine.apply(e);
    }
  }
  CHECK(asked);
  CHECK(other.engine.prompt(other.now_s).sentence.find("neutral") != std::string::npos);
}

TEST_CASE("a hold ends when the band is narrow, later with more noise, and not for ever",
          "[procedure][synthetic]") {
  const auto first_hold = [](double noise_uT) {
    auto settings = test::hand_settings();
    settings.noise.white_sigma_uT = noise_uT;
    Hand hand{test::hand_equipment(), settings};
    while (!(hand.engine.state().waits_at_work() && hand.engine.state().step().aim)) {
      REQUIRE(hand.now_s < 1000.0);
      hand.step();
    }
    const double since_s = hand.engine.state().since_s;
    while (hand.engine.state().waits_at_work()) hand.step();
    return hand.now_s - since_s;
  };
  const double quiet = first_hold(0.05), noisy = first_hold(0.35), hopeless = first_hold(20.0);
  CHECK(quiet >= kLeastHold_s);
  CHECK(quiet < noisy);
  CHECK(hopeless <= kLongestHold_s + 2.0);
}

TEST_CASE("drift too fast asks for a rest, which ends by itself or by being declined",
          "[procedure][synthetic]") {
  auto settings = test::hand_settings();
  settings.drift.warm_up_uT = {60.0, 60.1};
  settings.drift.warm_up_time_s = {150.0, 150.1};
  Hand hand{test::hand_equipment(), settings};
  bool asked = false;
  hand.instead = [&](const run::Prompt& prompt) {
    asked = asked || prompt.sentence.find("wanders too fast") != std::string::npos;
    return false;
  };
  hand.go(4000.0);
  CHECK(asked);
  CHECK(hand.engine.state().at > 0);  // and later it went on
  Hand calm{test::hand_equipment()};
  calm.go();
  for (const run::Event& e : calm.engine.state().journal) CHECK(e.kind != EventKind::drifting);
}

TEST_CASE("a quiet hour brings no step", "[procedure][synthetic]") {
  Hand hand{test::hand_equipment()};
  hand.instead = [&](const run::Prompt& prompt) { return !prompt.must_acknowledge; };
  hand.go(3600.0);
  for (const run::Event& e : hand.engine.state().journal) CHECK(e.kind != EventKind::seen);
}
