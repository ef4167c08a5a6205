// SPDX-License-Identifier: Apache-2.0
// Do the bands from a display hold the truth? The run is the independent case.
#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>
#include <string>

#include "procedure/heading_log.h"
#include "simulate/random.h"

using namespace qn;
using namespace qn::tests;

namespace {

struct Count {
  double states = 0, held = 0, zero = 0, zero_held = 0, wrong_within = 0, unproven = 0;
  double coverage() const { return held / states; }
};

// Five devices of which one does nothing, 0.3 to 12 degrees; two headings about 90 degrees apart.
DisplayRun drawn_run(simulate::Random& random, const simulate::HeadingDisplay& display) {
  std::vector<std::pair<std::string, Vector3>> fields;
  for (int d = 0; d < 5; ++d) {
    const double worst = 0.3 * std::pow(40.0, random.uniform(0.0, 1.0));
    const double size = d == 0 ? 0.0 : 20.0 * std::sin(worst * std::numbers::pi / 180.0);
    const double way = random.uniform(0.0, 2.0 * std::numbers::pi);
    fields.push_back({std::string("device ") + static_cast<char>('A' + d),
                      {size * std::cos(way), size * std::sin(way), 0.0}});
  }
  DisplayRun out = display_run(fields, display);
  out.settings.noise.white_sigma_uT = random.uniform(0.01, 0.15);
  out.settings.drift.wander_uT = 0.1;
  out.settings.marks.common_delay_s = 0.6;
  return out;
}

void count(const DisplayRun& made, const DisturbanceRun& run, Count& out) {
  double states = 0, held = 0;
  for (const simulate::DeviceTruth& truth : made.devices) {
    const StateEffect& state = device_of(run, truth.device.name).states.front();
    const Vector3& b = truth.states[1].field_uT;
    // asin(|b| / H), beside the estimator's own geometry: these fields are below H.
    const double worst =
        std::asin(std::hypot(b[0], b[1]) / made.settings.horizontal_uT) * 180.0 / std::numbers::pi;
    const bool inside = state.heading.worst_95.lo.in_deg() <= worst + 1e-9 &&
                        state.heading.worst_95.hi.in_deg() >= worst - 1e-9;
    if (worst == 0.0) {
      out.zero += 1;
      out.zero_held += inside ? 1 : 0;
      CHECK(state.verdict.state != VerdictState::over);
      continue;
    }
    states += 1;
    held += inside ? 1 : 0;
    if (worst > 1.3 && state.verdict.state == VerdictState::within) out.wrong_within += 1;
    if (state.verdict.state == VerdictState::unproven) out.unproven += 1;
  }
  out.states += states;
  out.held += held;
}

std::string told(const Count& c) {
  return "held " + std::to_string(c.coverage()) + ", of devices that do nothing " +
         std::to_string(c.zero_held / c.zero) + ", unproven " +
         std::to_string(c.unproven / c.states);
}

}  // namespace

TEST_CASE("the bands of two headings hold the truth, whatever the display rounds to",
          "[procedure][heading][synthetic][long]") {
  for (const double step_deg : {0.1, 0.5, 1.0}) {
    Count all;
    for (std::uint64_t seed = 1; seed <= 100; ++seed) {
      simulate::Random random{9000 + seed, static_cast<std::uint64_t>(100 * step_deg)};
      const DisplayRun made = drawn_run(random, {step_deg, {}, 0.0});
      const double first = random.uniform(0.0, 360.0);
      const double second = std::fmod(first + random.uniform(75.0, 105.0), 360.0);
      const auto run = made.analyse({made.on(first, 2 * seed), made.on(second, 2 * seed + 1)});
      REQUIRE(run.has_value());
      count(made, run.value(), all);
    }
    INFO("step " << step_deg << ": " << told(all));
    // 400 bands, of 100 runs: a true 95 % falls below 0.91 in fewer than one of a thousand tries.
    CHECK(all.coverage() >= 0.91);
    CHECK(all.zero_held >= 0.91 * all.zero);
    CHECK(all.wrong_within <= 4);  // one upper end in 40 may lie too low
  }
}

TEST_CASE("the bands hold the truth behind a display that blends a gyro in",
          "[procedure][heading][synthetic][long]") {
  using Follows = simulate::HeadingDisplay::Follows;
  for (const Follows follows : {Follows::slowly, Follows::fading}) {
    Count all;
    int found = 0;
    for (std::uint64_t seed = 1; seed <= 30; ++seed) {
      simulate::Random random{9500 + seed, follows == Follows::slowly ? 1U : 2U};
      const double constant_s =
          follows == Follows::slowly ? random.uniform(1.0, 8.0) : random.uniform(20.0, 60.0);
      const DisplayRun made = drawn_run(random, {0.1, follows, constant_s});
      const auto run = made.analyse({made.on(40.0, 2 * seed), made.on(130.0, 2 * seed + 1)},
                                    HeadingSource::blended);
      REQUIRE(run.has_value());
      found += run.value().heading_only->response ? 1 : 0;
      count(made, run.value(), all);
    }
    INFO((follows == Follows::slowly ? "slowly: " : "fading: ") << told(all));
    CHECK(found >= 25);
    CHECK(all.coverage() >= 0.88);  // 120 bands of 30 runs: one in a thousand below
    CHECK(all.wrong_within <= 3);
  }
}
