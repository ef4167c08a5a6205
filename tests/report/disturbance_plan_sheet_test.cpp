// SPDX-License-Identifier: Apache-2.0
#include "report/disturbance_plan_sheet.h"

#include <catch2/catch.hpp>
#include <string>
#include <utility>
#include <vector>

#include "report/sheet_reading.h"

using namespace qn;
using namespace qn::test;

namespace {

PlanStep step_of(std::size_t number, std::size_t pass, const std::string& device) {
  PlanStep step;
  step.number = number;
  step.pass = pass;
  step.device = device;
  step.state = "on";
  step.dwell_s = 21.0;
  step.rest_s = 17.0;
  return step;
}

/// Long enough for several pages, with every kind of line.
DisturbancePlan long_plan(std::size_t devices, const std::string& suffix = "") {
  DisturbancePlan plan;
  plan.limit = {Angle::degrees(1.0), "your own limit"};
  plan.earth.horizontal_uT = 20.0;
  plan.earth.source = "assumed";
  plan.passes = 2;
  plan.first_rest_s = 60.0;
  plan.sentence = "Many devices take 1 h; each is then known to 0.1 degrees or better.";
  plan.safety = "The local rules decide.";
  plan.battery_advice = "The run takes 3.0 Ah.";
  plan.assumptions = {"Noise as assumed."};
  plan.remarks = {"Mind this."};
  for (std::size_t pass = 1; pass <= 2; ++pass) {
    for (std::size_t i = 0; i < devices; ++i) {
      plan.steps.push_back(
          step_of(plan.steps.size() + 1, pass, "Lamp" + std::to_string(i) + suffix));
      PlanStep& step = plan.steps.back();
      if (i % 7 == 3) {
        step.group = 1 + i;
        step.caution = "People clear of what moves, one person outside watching.";
        step.transit_s = 5.0;
        step.optional = true;
      }
      if (i % 7 == 5) {
        step.also_on = {"Helper"};
        step.lead_s = 13.0;
        step.trail_s = 14.0;
      }
    }
  }
  PlanStep all = step_of(plan.steps.size() + 1, 3, "*");
  all.members = {"Lamp0", "Flaps (down)"};
  plan.steps.push_back(all);
  return plan;
}

SheetContext context_of(bool letter) {
  return {.aircraft = "Brindle",
          .place = "east apron",
          .day = "2026-05-14",
          .log_name = "equipment.csv",
          .log_sha256 = std::string(64, 'a'),
          .program_version = "0.1.0",
          .letter = letter};
}

PageRecord drawn(const DisturbancePlan& plan, bool letter, PageFormat format = PageFormat::svg) {
  auto page = draw_disturbance_plan_sheet(plan, context_of(letter), format);
  REQUIRE(page.has_value());
  return std::move(page).value();
}

std::size_t count(const PageRecord& record, const std::string& words) {
  std::size_t n = 0;
  for (const DrawnText& text : record.texts) n += text.text == words ? 1U : 0U;
  return n;
}

}  // namespace

TEST_CASE("the plan's sheet has every step once, on as many pages as it takes",
          "[report][synthetic]") {
  for (const bool letter : {false, true}) {
    const auto plan = long_plan(20);
    const PageRecord record = drawn(plan, letter);
    CHECK(record.pages >= 3);
    for (const PlanStep& step : plan.steps) CHECK(count(record, std::to_string(step.number)) == 1);
    const std::string last =
        "sheet " + std::to_string(record.pages) + " of " + std::to_string(record.pages);
    REQUIRE(containing(record, last) != nullptr);
    CHECK(containing(record, last)->page == record.pages - 1);
    CHECK(containing(record, "name and role")->page == record.pages - 1);
    CHECK(containing(record, "Start the recording")->page == 0);
    CHECK(containing(record, "End the recording") != nullptr);
    CHECK(containing(record, "local rules decide") != nullptr);
    CHECK(containing(record, "Mind this") != nullptr);
    CHECK(containing(record, "Everything at once") != nullptr);
  }
}

TEST_CASE("nothing on the plan's sheet leaves the margins or covers another text",
          "[report][synthetic]") {
  const std::string lengthy = " with a very long name that no panel would have room for";
  for (const std::string& suffix : {std::string{}, lengthy}) {
    const PageRecord record = drawn(long_plan(14, suffix), false);
    check_margins_and_overlaps(record);
  }
}

TEST_CASE("a caution stands on the same page as its step, above it", "[report][synthetic]") {
  for (std::size_t devices = 4; devices < 40; devices += 5) {
    const auto plan = long_plan(devices);
    const PageRecord record = drawn(plan, false);
    for (const PlanStep& step : plan.steps) {
      if (step.caution.empty()) continue;
      const DrawnText* caution =
          containing(record, "Before step " + std::to_string(step.number) + ":");
      REQUIRE(caution != nullptr);
      for (const DrawnText& text : record.texts) {
        if (text.text != std::to_string(step.number)) continue;
        CHECK(text.page == caution->page);
        CHECK(text.ink_box.top > caution->ink_box.bottom);
      }
    }
  }
}

TEST_CASE("a caution for several steps says for which", "[report][synthetic]") {
  auto plan = long_plan(6);
  plan.steps[4].group = plan.steps[3].group;
  CHECK(containing(drawn(plan, false), "Before steps 4 to 5:") != nullptr);
}

TEST_CASE("the same plan gives the same bytes, as PDF with all pages and as SVG",
          "[report][synthetic]") {
  const auto plan = long_plan(12);
  const PageRecord pdf = drawn(plan, false, PageFormat::pdf);
  CHECK(pdf.bytes == drawn(plan, false, PageFormat::pdf).bytes);
  CHECK(pdf.bytes.rfind("%PDF", 0) == 0);
  // A PDF's page tree says how many it holds (ISO 32000-1, 7.7.3.2, entry Count).
  CHECK(pdf.bytes.find("/Count " + std::to_string(pdf.pages)) != std::string::npos);
  CHECK(disturbance_plan_sheet_svg(plan, context_of(false)).value() == drawn(plan, false).bytes);
}
