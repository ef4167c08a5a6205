// SPDX-License-Identifier: Apache-2.0
#include "procedure/swing_loads.h"

#include <catch2/catch.hpp>
#include <cmath>

#include "procedure/swing_card.h"
#include "procedure/swing_maker.h"

using namespace qn;
using namespace qn::test;

namespace {

/// The same compass with each state adding to C; 12 marks both ways.
std::vector<SwingReading> with_loads(const std::vector<std::pair<std::string, double>>& states,
                                     std::uint64_t seed = 3) {
  std::vector<SwingReading> out;
  for (const auto& [loads, more_c] : states) {
    SwingCase c{.stations = 12, .both_turns = true, .north_sigma_deg = 0.0};
    MadeSwing made = make_swing(c, seed + out.size());
    made.truth = {0.5, 2.0, 1.0 + more_c, 0.5, 0.0};
    simulate::Random random{seed + out.size(), 31};
    for (SwingReading& r : made.readings) {
      r.indicated_deg = rounded(read_on(made, r.station_deg + 0.4 * random.normal()), 1.0);
      r.loads = loads;
      r.row = out.size();
      out.push_back(r);
    }
  }
  return out;
}

std::vector<LoadsEffect> effects(const std::vector<std::pair<std::string, double>>& states) {
  const auto solved = solve_swing(with_loads(states), {});
  REQUIRE(solved.has_value());
  return solved.value().loads;
}

}  // namespace

TEST_CASE("a state of the loads is one word for one state", "[procedure][closed-form]") {
  CHECK(loads_state("Off").value() == "off");
  CHECK(loads_state("strobe + Pitot").value() == "pitot+strobe");
  CHECK(loads_state("strobe|pitot|strobe").value() == "pitot+strobe");
  CHECK(loads_named("pitot+strobe") == std::vector<std::string>{"pitot", "strobe"});
  CHECK(loads_named("on").empty());
  for (const char* wrong : {"", "on+pitot", "1", "yes", "pitot+", "a,b"}) {
    INFO(wrong);
    CHECK_FALSE(loads_state(wrong).has_value());
  }
}

TEST_CASE("the load that takes a compass over ten degrees is named", "[procedure][synthetic]") {
  const auto found = effects({{"off", 0.0}, {"pitot", 13.0}, {"strobe", 1.0}});
  REQUIRE(found.size() == 2);
  CHECK(found[0].loads == "pitot");
  CHECK(found[0].takes_it_over);
  CHECK(found[0].state == VerdictState::over);
  CHECK(found[0].change_95_deg.first < 13.0);
  CHECK(found[0].change_95_deg.second > 12.5);
  CHECK(found[0].sentence.find("is taken over 10 deg") != std::string::npos);
  CHECK(found[0].sentence.find("with loads off it is within") != std::string::npos);
  CHECK(found[1].state == VerdictState::within);
  CHECK_FALSE(found[1].takes_it_over);
}

TEST_CASE("which of several loads it is stays unproven until each is read alone",
          "[procedure][synthetic]") {
  const auto together = effects({{"off", 0.0}, {"pitot+strobe", 13.0}});
  CHECK(together[0].which_unproven);
  CHECK(together[0].sentence.find("Which of them does is unproven") != std::string::npos);
  const auto one = effects({{"off", 0.0}, {"pitot+strobe", 14.0}, {"pitot", 13.0}});
  CHECK_FALSE(one[0].which_unproven);
  CHECK(one[0].sentence.find("pitot alone does") != std::string::npos);
  const auto neither =
      effects({{"off", 0.0}, {"pitot+strobe", 13.0}, {"pitot", 5.0}, {"strobe", 5.0}});
  CHECK_FALSE(neither[0].which_unproven);
  CHECK(neither[0].sentence.find("None of them alone does") != std::string::npos);
  const auto on = effects({{"off", 0.0}, {"on", 13.0}});
  CHECK(on[0].which_unproven);
  const auto near = effects({{"off", 0.0}, {"pitot", 8.2}});
  CHECK(near[0].state == VerdictState::unproven);
  CHECK(near[0].sentence.find("is unproven") != std::string::npos);
}

TEST_CASE("a lag that may pass ten degrees leaves open what the loads do",
          "[procedure][synthetic]") {
  auto readings = with_loads({{"off", 0.0}, {"pitot", 3.0}});
  CHECK(solve_swing(readings, {}).value().loads[0].state == VerdictState::within);
  for (SwingReading& r : readings) {
    if (r.loads == "pitot") r.indicated_deg += r.turn == SwingTurn::clockwise ? 5.0 : -5.0;
  }
  const auto sticks = solve_swing(readings, {}).value().loads[0];
  CHECK(sticks.worst_95_deg.second < 10.0);
  CHECK(sticks.state == VerdictState::unproven);
}

TEST_CASE("what the loads change is the same when the lubber line was turned",
          "[procedure][synthetic]") {
  SwingOptions given;
  given.north_sigma_deg = 2.0;
  const auto solved = solve_swing(with_loads({{"off", 0.0}, {"pitot", 13.0}}), given);
  REQUIRE(solved.has_value());
  CardOptions less;
  less.a_removed = true;
  const auto with_a = make_cards(solved.value(), {});
  const auto without = make_cards(solved.value(), less);
  const auto change_in = [](const CorrectionCard& card) {
    return card.beside.at(0).substr(card.beside.at(0).find("They change"));
  };
  CHECK(change_in(with_a.at(0)) == change_in(without.at(0)));
  CHECK(with_a.at(0).beside.at(0) != without.at(0).beside.at(0));
}

TEST_CASE("what the loads change has a band that holds", "[procedure][synthetic]") {
  int held = 0, told = 0;
  constexpr int kSwings = 150;
  for (int s = 0; s < kSwings; ++s) {
    const double more = 0.05 * s;
    const auto readings =
        with_loads({{"off", 0.0}, {"pitot", more}}, 7000 + 97 * static_cast<std::uint64_t>(s));
    const LoadsEffect e = solve_swing(readings, {}).value().loads[0];
    REQUIRE(e.change_deg);
    if (e.change_95_deg.first <= more + 1e-9 && more <= e.change_95_deg.second) ++held;
    if (e.change_95_deg.first > 0.0) ++told;
  }
  // A true 95 % falls below 90 of a hundred in four of a thousand trials.
  CHECK(held >= 0.90 * kSwings);
  CHECK(told > kSwings / 2);
}

TEST_CASE("a card has the columns that were asked for, and every state's verdict",
          "[procedure][synthetic]") {
  const auto readings =
      with_loads({{"strobe", 1.0}, {"off", 0.0}, {"pitot", 13.0}, {"pitot+strobe", 14.0}});
  const auto solved = solve_swing(readings, {});
  REQUIRE(solved.has_value());
  const auto usual = make_cards(solved.value(), {});
  REQUIRE(usual.size() == 1);
  CHECK(usual[0].columns == std::vector<std::string>{"loads off", "loads pitot+strobe"});
  CHECK(usual[0].verdicts.size() == 4);
  for (const char* words : {"loads strobe within", "loads pitot over", "limit 10 deg"}) {
    CHECK(usual[0].verdict.find(words) != std::string::npos);
  }
  CardOptions asked;
  asked.columns = {"strobe", "off"};
  const auto chosen = make_cards(solved.value(), asked);
  CHECK(chosen[0].columns == std::vector<std::string>{"loads strobe", "loads off"});
  CHECK(chosen[0].verdicts.size() == 4);
}
