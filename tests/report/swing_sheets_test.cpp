// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <string>
#include <utility>
#include <vector>

#include "procedure/swing_card.h"
#include "procedure/swing_plan.h"
#include "report/card_sheet.h"
#include "report/sheet_reading.h"
#include "report/swing_plan_sheet.h"
#include "report/swing_sheet.h"

using namespace qn;
using namespace qn::test;

namespace {

SwingReading read_at(double station_deg, double indicated_deg, const std::string& loads,
                     SwingTurn turn, std::size_t row) {
  SwingReading r;
  r.station_deg = station_deg;
  r.indicated_deg = std::fmod(indicated_deg + 360.0, 360.0);
  r.compass = "standby";
  r.loads = loads;
  r.turn = turn;
  r.row = row;
  r.roll_deg = r.pitch_deg = std::nan("");
  return r;
}

/// Twelve marks both ways, loads off and on; row 3 misread by 10.
SwingSolution example(bool loads) {
  std::vector<SwingReading> readings;
  for (const char* state : {"off", "on"}) {
    if (!loads && std::string{state} == "on") continue;
    for (int k = 0; k < 24; ++k) {
      const double mark = k < 12 ? 30.0 * k : 30.0 * (23 - k);
      const double z = mark * 3.14159265358979 / 180.0;
      const double off = 1.0 + 4.0 * std::sin(z) - 3.0 * std::cos(z) + std::sin(2.0 * z);
      const double more = std::string{state} == "on" ? 12.0 * std::cos(z) : 0.0;
      readings.push_back(read_at(mark, std::round(mark - off - more), loads ? state : "",
                                 k < 12 ? SwingTurn::clockwise : SwingTurn::counterclockwise,
                                 readings.size()));
    }
  }
  readings[3].indicated_deg += 10.0;
  auto solved = solve_swing(readings, {});
  REQUIRE(solved.has_value());
  return std::move(solved).value();
}

PageRecord card_drawn(const CardSheet& sheet, bool letter, PageFormat format = PageFormat::svg) {
  auto drawn = draw_card_sheet(sheet, context_for(letter), format);
  REQUIRE(drawn.has_value());
  return std::move(drawn).value();
}

std::vector<CorrectionCard> cards_of(const SwingSolution& swing, int step_deg = 30) {
  return make_cards(swing, {step_deg, false, CardRule::solve, std::nullopt, "landing light"});
}

}  // namespace

TEST_CASE("the swing's sheet says what it found, on A4 and Letter", "[report][synthetic]") {
  const SwingSolution swing = example(true);
  for (const bool letter : {false, true}) {
    auto drawn = draw_swing_sheet({swing, {"Stations are magnetic headings."}}, context_for(letter),
                                  PageFormat::svg);
    REQUIRE(drawn.has_value());
    const PageRecord& record = drawn.value();
    CHECK(record.pages >= 2);  // one for each state of the loads
    for (const char* words :
         {"Brindle", "within", "the largest deviation is", "Deviation over the indicated heading",
          "What the curve leaves", "Coefficients", "What the adjusters can do", "Left out as wrong",
          "misread by 10", "14 CFR 23.1327", "Stations are magnetic", "assumed or given",
          "name and role", "signature", "local rules"}) {
      INFO(words);
      CHECK((containing(record, words) != nullptr ||
             (std::string{words} == "local rules" && containing(record, "Local rules"))));
    }
    check_margins_and_overlaps(record);
  }
}

TEST_CASE("the card has every item of its placard, by name", "[report][published]") {
  // What the placard on or near a magnetic direction indicator has to say. Read: 14 CFR 25.1547
  // (2021 edition), 27.1547 (amendment 27-13, as 25.1547 and (e)), 23.1547(a) (before 2017). From
  // memory: 23.1547 (b) to (e); they agree with the twins read, but for steps of 30 and not 45 deg.
  struct Item {
    const char* rule;
    const char* item;
    std::vector<const char*> on_card;
  };
  const std::vector<Item> items = {
      {"23.1547(a), 25.1547, 27.1547", "of which indicator: on or near it", {"STANDBY", "Brindle"}},
      {"23.1547(b), 25.1547, 27.1547",
       "calibration in level flight, engines operating",
       {"Level flight", "Engine running"}},
      {"23.1547(c), 25.1547, 27.1547", "radio receivers on or off", {"Radio on"}},
      {"23.1547(d), 25.1547, 27.1547",
       "readings in terms of magnetic heading, in steps of not more than 30 (45) deg",
       {"Magnetic headings", "FOR", "STEER", "N", "030", "060", "E", "120", "150", "S", "210",
        "240", "W", "300", "330"}},
      {"23.1547(e), 27.1547(e)",
       "which loads make it deviate by more than 10 deg",
       {"loads off", "loads on", "Loads on: landing light", "With loads on the deviation reaches"}},
      {"common practice, no source",
       "when, where and by whom",
       {"14 May 2026", "east apron", "by A. Helper", "signed"}}};
  const SwingSolution swing = example(true);
  const auto cards = cards_of(swing);
  const CardSheet sheet{cards, swing, "running", "on", "A. Helper"};
  const PageRecord record = card_drawn(sheet, false);
  for (const Item& item : items) {
    for (const char* words : item.on_card) {
      INFO(item.rule << ": " << item.item << ": " << words);
      CHECK(containing(record, words) != nullptr);
    }
  }
  check_margins_and_overlaps(record);
  // Steps: 45 deg will do for parts 25 and 27, nothing wider is made.
  CHECK(cards_of(swing, 45)[0].rows.size() == 8);
  for (const int step : {60, 90}) {
    CHECK(check_card_options(swing, {step, false, CardRule::solve, std::nullopt, ""}));
  }
  // (e) begins above 10 deg: where it stays below, no load is named for it.
  SwingSolution quiet = swing;
  for (SwingCompass& c : quiet.compasses) {
    c.worst_deviation_deg = 9.9;
    c.worst_95_deg = {9.8, 10.0};
  }
  quiet.loads = loads_effects(quiet.compasses, {});
  const auto names_a_load = [](const std::string& remark) {
    return remark.find("deviation reaches") != std::string::npos;
  };
  for (const CorrectionCard& card : cards_of(quiet)) {
    CHECK(std::none_of(card.remarks.begin(), card.remarks.end(), names_a_load));
  }
}

TEST_CASE("what was not said is a line to write on", "[report][synthetic]") {
  const SwingSolution swing = example(false);
  const auto cards = cards_of(swing);
  SheetContext bare;
  auto drawn = draw_card_sheet({cards, swing, "", "", ""}, bare, PageFormat::svg);
  REQUIRE(drawn.has_value());
  CHECK(containing(drawn.value(), "Engine ....") != nullptr);
  CHECK(containing(drawn.value(), "Radio ....") != nullptr);
  CHECK(containing(drawn.value(), "Swung ....") != nullptr);
}

TEST_CASE("a card is drawn at its true size, its figures legible from half a metre",
          "[report][closed-form]") {
  const SwingSolution swing = example(false);
  const auto cards = cards_of(swing);
  for (const double width_mm : {60.0, 92.0, 120.0}) {
    const CardSheet sheet{cards, swing, "running", "on", "", width_mm};
    const PageRecord record = card_drawn(sheet, false);
    const DrawnText* says = containing(record, "Cut along the marks");
    REQUIRE(says != nullptr);
    CHECK(says->text.find(std::to_string(static_cast<int>(width_mm)) + " × ") != std::string::npos);
    // Digits are 0.73 em: 13.5 pt gives 9.8 pt, 3.5 mm, 24 minutes of arc at half a metre.
    const DrawnText* figure = containing(record, "030");
    REQUIRE(figure != nullptr);
    CHECK(figure->ink_box.height() >= 9.5);
    const DrawnText* name = containing(record, "STANDBY");
    const double middle = 0.5 * record.size.width_pt;
    const double half = 0.5 * width_mm * kPointsPerMillimetre;
    CHECK(name->ink_box.left == Approx(middle - half + 4.0 * kPointsPerMillimetre).margin(1.5));
    const DrawnText* bar = containing(record, "This bar is 50 mm long");
    REQUIRE(bar != nullptr);
    CHECK(0.5 * (bar->ink_box.left + bar->ink_box.right) == Approx(middle).margin(1.0));
  }
}

TEST_CASE("steps of 15 and 45 degrees have their lines, a card too long is refused",
          "[report][synthetic]") {
  const SwingSolution swing = example(true);
  for (const int step : {15, 45}) {
    const auto cards = cards_of(swing, step);
    const PageRecord record = card_drawn({cards, swing, "running", "on", "", 100.0}, false);
    CHECK(containing(record, step == 15 ? "345" : "315") != nullptr);
    check_margins_and_overlaps(record);
  }
  const auto long_cards = cards_of(swing, 15);
  const CardSheet narrow{long_cards, swing, "running", "on", "", 60.0};
  const auto refused = draw_card_sheet(narrow, context_for(true), PageFormat::svg);
  if (!refused) CHECK(refused.error().where == "option --width-mm");
  const auto wide =
      draw_card_sheet({long_cards, swing, "", "", "", 400.0}, context_for(false), PageFormat::svg);
  REQUIRE_FALSE(wide.has_value());
  CHECK(wide.error().where == "option --width-mm");
}

TEST_CASE("a narrow card drops none of its remarks and no verdict", "[report][synthetic]") {
  const SwingSolution swing = example(true);
  auto cards = cards_of(swing);
  for (int k = 0; k < 6; ++k) {
    cards[0].remarks.push_back("Remark number " + std::to_string(k) +
                               " of a builder who has much to say of this compass and its place.");
  }
  for (const double width_mm : {45.0, 60.0, 75.0, 100.0}) {
    const PageRecord record =
        card_drawn({cards, swing, "running", "on", "A. Helper", width_mm}, true);
    std::string all;
    for (const DrawnText& text : record.texts) {
      CHECK_FALSE(text.cut);
      all += text.text + "\n";
    }
    for (const std::string words :
         {"Loads off within, loads on over", "Loads off: within", "Loads on: over", "With the card",
          "Remark number 0", "Remark number 5", "Swing again"}) {
      INFO(width_mm << " " << words);
      CHECK(all.find(words) != std::string::npos);
    }
    CHECK(all.find("see the JSON") == std::string::npos);
    check_margins_and_overlaps(record);
  }
}

TEST_CASE("the plan of a swing has every stop once and room to write", "[report][synthetic]") {
  for (const int stations : {8, 24}) {
    SwingPlanOptions options;
    options.stations = stations;
    const auto plan = plan_swing(options);
    REQUIRE(plan.has_value());
    auto drawn = draw_swing_plan_sheet(plan.value(), context_for(false), PageFormat::svg);
    REQUIRE(drawn.has_value());
    const PageRecord& record = drawn.value();
    for (const SwingStop& stop : plan.value().stops) {
      std::size_t count = 0;
      for (const DrawnText& text : record.texts) {
        // Numbers of stops end 18 pt from the margin.
        if (text.text == std::to_string(stop.number) &&
            std::fabs(text.ink_box.right - sheet_margins(record.size).left - 18.0) < 2.5) {
          ++count;
        }
      }
      INFO(stop.number);
      CHECK(count == 1);
    }
    for (const char* words : {"Before anything moves", "Propeller", "loads on", "stood on",
                              "both ways", "within 5° of north", "signature"}) {
      INFO(words);
      CHECK(containing(record, words) != nullptr);
    }
    check_margins_and_overlaps(record);
  }
}

TEST_CASE("the same swing gives the same bytes on each of its sheets", "[report][synthetic]") {
  const SwingSolution swing = example(true);
  const auto cards = cards_of(swing);
  const auto plan = plan_swing({});
  REQUIRE(plan.has_value());
  const CardSheet card{cards, swing, "running", "on", ""};
  for (const PageFormat format : {PageFormat::pdf, PageFormat::svg}) {
    const auto context = context_for(false);
    CHECK(draw_swing_sheet({swing}, context, format).value().bytes ==
          draw_swing_sheet({swing}, context, format).value().bytes);
    CHECK(card_drawn(card, false, format).bytes == card_drawn(card, false, format).bytes);
    CHECK(draw_swing_plan_sheet(plan.value(), context, format).value().bytes ==
          draw_swing_plan_sheet(plan.value(), context, format).value().bytes);
  }
  CHECK(card_sheet_pdf(card, context_for(false)).value().rfind("%PDF", 0) == 0);
  CHECK(swing_sheet_pdf({swing}, context_for(false)).value().rfind("%PDF", 0) == 0);
}

TEST_CASE("a compass that could not be solved has a page that says why", "[report][synthetic]") {
  std::vector<SwingReading> two = {read_at(0, 2, "", SwingTurn::unknown, 0),
                                   read_at(90, 88, "", SwingTurn::unknown, 1)};
  const auto solved = solve_swing(two, {});
  REQUIRE(solved.has_value());
  auto drawn = draw_swing_sheet({solved.value()}, context_for(false), PageFormat::svg);
  REQUIRE(drawn.has_value());
  CHECK(containing(drawn.value(), "2 headings were read") != nullptr);
  CHECK(containing(drawn.value(), "eight headings") != nullptr);
}
