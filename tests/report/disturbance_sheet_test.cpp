// SPDX-License-Identifier: Apache-2.0
#include "report/disturbance_sheet.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cstddef>
#include <limits>
#include <string>
#include <utility>
#include <vector>

#include "report/disturbance_example.h"
#include "report/many_devices_example.h"
#include "report/sheet_frame.h"

namespace {

using namespace qn;

std::string with_plain_spaces(std::string text) {
  for (auto at = text.find("\u00a0"); at != std::string::npos; at = text.find("\u00a0")) {
    text.replace(at, 2, 1, ' ');
  }
  return text;
}

SheetContext context_of(bool letter, bool lengthy) {
  SheetContext context{
      .aircraft = "Brindle",
      .place = "east apron",
      .day = "2026-05-14",
      .log_name = "brindle.csv",
      .log_sha256 = "9f2c71d04be8a356c0ffee1234567890abcdef0123456789fedcba9876543210",
      .program_version = "0.1.0",
      .letter = letter};
  if (lengthy) {
    context.aircraft = std::string(90, 'M') + " and more";
    context.place = "a hangar at the far end of the apron behind the pumps and the second fence";
    context.log_name = std::string(150, 'L') + ".csv";
  }
  return context;
}

struct NamedRun {
  std::string name;
  DisturbanceRun run;
};

std::vector<NamedRun> all_runs() {
  return {{"example", samples::disturbance_example()},
          {"single", samples::single_device()},
          {"many", samples::many_devices()}};
}

PageRecord drawn(const DisturbanceRun& run, const SheetContext& context,
                 PageFormat format = PageFormat::svg) {
  auto page = draw_disturbance_sheet(run, context, format);
  REQUIRE(page.has_value());
  return std::move(page).value();
}

/// Whether `words` are a part of something on that page; any page when it is the default.
bool has(const PageRecord& record, const std::string& words,
         std::size_t page = std::numeric_limits<std::size_t>::max()) {
  return std::any_of(record.texts.begin(), record.texts.end(), [&](const DrawnText& text) {
    const bool here = page == std::numeric_limits<std::size_t>::max() || text.page == page;
    return here && text.text.find(words) != std::string::npos;
  });
}

void check_room(const PageRecord& record) {
  const PageBox margins = sheet_margins(record.size);
  constexpr double kSideBearing = 0.6;  // a letter may lean a little out of its own box
  CHECK(record.extent.left >= margins.left - kSideBearing);
  CHECK(record.extent.right <= margins.right + kSideBearing);
  CHECK(record.extent.top >= margins.top);
  CHECK(record.extent.bottom <= margins.bottom);
  for (std::size_t i = 0; i < record.texts.size(); ++i) {
    for (std::size_t k = i + 1; k < record.texts.size(); ++k) {
      const DrawnText &a = record.texts[i], &b = record.texts[k];
      if (a.page != b.page || !overlap(a.ink_box, b.ink_box)) continue;
      INFO("sheet " << a.page + 1 << ": " << a.text << "\n" << b.text);
      CHECK(false);
    }
  }
}

}  // namespace

TEST_CASE("every sample of a disturbance run stays on its sheets and no words touch",
          "[report][synthetic]") {
  for (const NamedRun& sample : all_runs()) {
    for (const bool letter : {false, true}) {
      for (const bool lengthy : {false, true}) {
        // Both papers and both headings once each: sixty pages of devices take long to draw.
        if (sample.name == "many" && letter == lengthy) continue;
        INFO(sample.name << (letter ? " letter" : " A4") << (lengthy ? " lengthy" : ""));
        check_room(drawn(sample.run, context_of(letter, lengthy)));
      }
    }
  }
}

TEST_CASE("the first sheet says the sentence, each device, what is open and what to do",
          "[report][synthetic]") {
  const DisturbanceRun run = samples::disturbance_example();
  const PageRecord page = drawn(run, context_of(false, false));
  for (const std::string& words :
       {run.sentence,
        run.verdict.because,
        std::string{"Disturbance run · Brindle"},
        std::string{"14 May 2026 · east apron · sheet 1 of " + std::to_string(page.pages)},
        std::string{"limit 1.0° · starting limit of this program, not a published one"},
        std::string{"Left landing light"},
        std::string{"Vent fan"},
        std::string{"Night approach"},
        std::string{"3.6 to 4.0"},
        std::string{"at most 0.1°"},
        std::string{"over"},
        std::string{"unproven"},
        std::string{"within"},
        std::string{"a · Pulses every 8.0 s, 02:22 to 03:25: 0.15 µT, up to 0.4°. Like fuel pump."},
        std::string{"b · A pulse of 8.0 s at 07:21"},
        std::string{"1 · Cure left landing light: night approach then is at 0.6°."},
        std::string{"2 · Cure fuel pump"},
        std::string{"work it twice more"},
        run.verdict.do_next,
        std::string{"Before anything is worked again"},
        std::string{"signature"},
        std::string{"Local rules and the licensed person who signs decide."},
        std::string{"9f2c 71d0 4be8 a356"}}) {
    INFO(words);
    CHECK(std::any_of(page.texts.begin(), page.texts.end(), [&](const DrawnText& text) {
      return text.page == 0 && with_plain_spaces(text.text).find(words) != std::string::npos;
    }));
  }
  CHECK_FALSE(has(page, "±"));
}

TEST_CASE("on-times carry the devices' numbers and unexplained things their letters",
          "[report][synthetic]") {
  const PageRecord page = drawn(samples::disturbance_example(), context_of(false, false));
  const auto times_on_first_sheet = [&](const std::string& words) {
    return std::count_if(page.texts.begin(), page.texts.end(), [&](const DrawnText& text) {
      return text.page == 0 && text.text == words;
    });
  };
  // Beside the circled number at the bar, one for each of the two times it was on.
  CHECK(times_on_first_sheet("9") == 3);
  CHECK(times_on_first_sheet("a") == 1);
  CHECK(times_on_first_sheet("b") == 1);
}

TEST_CASE("the second sheet holds the table, the assumptions and what was found",
          "[report][synthetic]") {
  const DisturbanceRun run = samples::disturbance_example();
  const PageRecord page = drawn(run, context_of(false, false));
  CHECK(has(page, "Each device and state", 1));
  CHECK(has(page, "nose down", 1));
  CHECK(has(page, "\u22120.88", 1));
  CHECK(has(page, "proportional", 1));
  CHECK(has(page, "Set aside at 04:45: it looks like the pitch servo (0.02 µT apart).", 1));
  CHECK(has(page, "Pulses every 2.40 s, on for 12 % of it", 1));
  CHECK(has(page, "They agree: measured 1.14", 1));
  CHECK(has(page, "with these optional ones: transponder", 1));
  for (const std::string& sentence : run.assumptions) CHECK(has(page, sentence));
  for (const std::string& sentence : run.remarks) CHECK(has(page, sentence));
}

TEST_CASE("forty devices flow over the sheets and nothing is lost", "[report][synthetic]") {
  const DisturbanceRun run = samples::many_devices();
  for (const bool letter : {false, true}) {
    const PageRecord page = drawn(run, context_of(letter, false));
    CHECK(page.pages > 3);
    CHECK(has(page, "more devices and 4 more phases on sheet 2", 0));
    for (std::size_t k = 1; k <= 40; ++k) {
      const std::string number = std::to_string(k);
      INFO(number);
      // The circled number at the bar, the number in the table, numbers on the strips.
      CHECK(std::count_if(page.texts.begin(), page.texts.end(),
                          [&](const DrawnText& text) { return text.text == number; }) >= 5);
      CHECK(has(page, "Device " + number));
    }
    for (const std::string& sentence : run.remarks) CHECK(has(page, sentence));
    CHECK(has(page, "ae · A pulse of 6.0 s"));  // the 31st unexplained thing
    CHECK(has(page, "40 · Cure device 40 on the far side behind the second bulkhead"));
    CHECK_FALSE(has(page, "see the JSON"));
    const std::string of = std::to_string(page.pages);
    for (std::size_t k = 0; k < page.pages; ++k) {
      CHECK(has(page, "sheet " + std::to_string(k + 1) + " of " + of, k));
    }
  }
}

TEST_CASE("no effect is written as at most so much, never as zero", "[report][synthetic]") {
  const PageRecord page = drawn(samples::disturbance_example(), context_of(false, false));
  for (const DrawnText& text : page.texts) {
    INFO(text.text);
    // A ruler begins at 0.0 degrees in ink of its own size; figures are never that.
    CHECK((text.text != "0.0°" || text.ink_box.height() < 7.0));
  }
  CHECK(has(page, "No effect seen: a quiet device, or the step was skipped."));
}

TEST_CASE("PDF and SVG of a disturbance run have the sheets asked for, the same bytes each time",
          "[report][published]") {
  const DisturbanceRun run = samples::disturbance_example();
  for (const bool letter : {false, true}) {
    const SheetContext context = context_of(letter, false);
    const auto pdf = disturbance_sheet_pdf(run, context);
    const auto svg = disturbance_sheet_svg(run, context);
    REQUIRE(pdf.has_value());
    REQUIRE(svg.has_value());
    const std::size_t pages = drawn(run, context).pages;
    CHECK(pdf.value().rfind("%PDF-", 0) == 0);
    CHECK(pdf.value().find("/Count " + std::to_string(pages) + "\n") != std::string::npos);
    // ISO 216: A4 is 210 by 297 mm; US Letter is 8.5 by 11 inches.
    CHECK(pdf.value().find(letter ? "612 792" : "595.275591 841.889764") != std::string::npos);
    // Under one another in one picture.
    if (letter) {
      CHECK(svg.value().find("height=\"" + std::to_string(792 * pages) + "pt\"") !=
            std::string::npos);
    }
    CHECK(pdf.value() == disturbance_sheet_pdf(run, context).value());
    CHECK(svg.value() == disturbance_sheet_svg(run, context).value());
  }
}

TEST_CASE("values that are no numbers cannot break the sheets", "[report][synthetic]") {
  DisturbanceRun run = samples::disturbance_example();
  const double nan = std::numeric_limits<double>::quiet_NaN();
  const double infinite = std::numeric_limits<double>::infinity();
  StateEffect& state = run.devices[0].states[0];
  state.heading.worst = Angle::degrees(nan);
  state.heading.worst_95 = samples::band(nan, infinite);
  for (std::size_t i = 0; i < state.heading.curve_deg.size(); i += 5) {
    state.heading.curve_deg[i] = nan;
    state.heading.curve_95[i].hi = Angle::degrees(infinite);
  }
  state.field.field_uT[1] = nan;
  state.visits[0].worst = Angle::degrees(infinite);
  state.visits[1].from_s = nan;
  for (std::size_t i = 3; i < run.trace.fit_uT.size(); i += 11) {
    run.trace.field_uT[i][0] = nan;
    run.trace.fit_uT[i][1] = infinite;
  }
  run.unexplained[0].from_s = nan;
  run.unexplained[0].period_s = infinite;
  run.noise.white_uT = nan;
  run.combinations[0].after_best_cure = Angle::degrees(nan);
  check_room(drawn(run, context_of(false, false)));
}

TEST_CASE("a run with nothing in it leaves a sheet that can be read", "[report][synthetic]") {
  DisturbanceRun run;
  run.earth = samples::middle_latitude();
  run.sentence = "Not decided.";
  check_room(drawn(run, SheetContext{}));
  run.devices.emplace_back();
  run.devices.back().name = "a device without states";
  const PageRecord page = drawn(run, SheetContext{});
  check_room(page);
  CHECK(has(page, "sheet 1 of " + std::to_string(page.pages)));
}

TEST_CASE("a heading that is lost is written as such", "[report][synthetic]") {
  DisturbanceRun run = samples::single_device();
  StateEffect& state = run.devices[0].states[0];
  state.heading = samples::heading_error({25.0, 4.0, 0.0}, 5.0, run.earth.horizontal_uT);
  state.heading.worst = Angle::degrees(180.0);
  state.heading.worst_95 = samples::band(80.0, 180.0);
  state.verdict.state = VerdictState::over;
  const PageRecord page = drawn(run, context_of(false, false));
  check_room(page);
  CHECK(has(page, "180.0°", 0));
  CHECK(has(page, "80.0 to 180.0", 0));
}
