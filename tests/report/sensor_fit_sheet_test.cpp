// SPDX-License-Identifier: Apache-2.0
#include "report/sensor_fit_sheet.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <limits>
#include <string>
#include <vector>

#include "report/drawn_sheet.h"
#include "report/sheet_frame.h"
#include "support/sample_fits.h"

namespace {

using namespace qn;

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
    context.program_version = "0.1.0-with-a-long-build-name-4711-of-nobody";
  }
  return context;
}

PageRecord drawn(const SensorFit& fit, const SheetContext& context) {
  auto page = draw_sensor_fit_sheet(fit, context, PageFormat::svg);
  REQUIRE(page.has_value());
  return std::move(page).value();
}

std::string all_text(const PageRecord& page) {
  std::string text;
  for (const DrawnText& drawn_text : page.texts) text += drawn_text.text + "\n";
  return text;
}

bool has(const PageRecord& page, const std::string& words) {
  return all_text(page).find(words) != std::string::npos;
}

const DrawnText* starting(const PageRecord& page, const std::string& words) {
  for (const DrawnText& text : page.texts) {
    if (text.text.rfind(words, 0) == 0) return &text;
  }
  return nullptr;
}

void check_room(const PageRecord& page) {
  const PageBox margins = sheet_margins(page.size);
  constexpr double kSideBearing = 0.6;  // a letter may lean a little out of its own box
  CHECK(page.extent.left >= margins.left - kSideBearing);
  CHECK(page.extent.right <= margins.right + kSideBearing);
  CHECK(page.extent.top >= margins.top);
  CHECK(page.extent.bottom <= margins.bottom);
  for (std::size_t i = 0; i < page.texts.size(); ++i) {
    for (std::size_t k = i + 1; k < page.texts.size(); ++k) {
      INFO(page.texts[i].text << "\n" << page.texts[k].text);
      CHECK_FALSE(overlap(page.texts[i].ink_box, page.texts[k].ink_box));
    }
  }
}

void check_order(const PageRecord& page, bool corrected) {
  const DrawnText* next = starting(page, "Do next");
  const DrawnText* sign = starting(page, "name and role");
  REQUIRE(next != nullptr);
  REQUIRE(sign != nullptr);
  CHECK(next->ink_box.bottom < sign->ink_box.top);
  if (!corrected) return;
  // Whatever is drawn before the frames ends above them; only the lines for signing and the footer,
  // which are drawn first, stand below.
  constexpr double kFramePad = 6.0;
  const DrawnText* caution = starting(page, "Before anything moves");
  REQUIRE(caution != nullptr);
  for (const DrawnText& text : page.texts) {
    if (text.ink_box.top > next->ink_box.top - 1.0) continue;
    INFO(text.text);
    CHECK((&text == caution || text.ink_box.bottom < next->ink_box.top - kFramePad));
  }
}

}  // namespace

TEST_CASE("every sample sheet stays on its page and no words touch", "[report][synthetic]") {
  for (const samples::NamedFit& sample : samples::all()) {
    for (const bool letter : {false, true}) {
      for (const bool lengthy : {false, true}) {
        INFO(sample.name << (letter ? " letter" : " A4") << (lengthy ? " lengthy" : ""));
        const PageRecord page = drawn(sample.fit, context_of(letter, lengthy));
        check_room(page);
        check_order(page, sample.fit.correction.has_value());
      }
    }
  }
}

TEST_CASE("a PDF sheet is one page of the paper asked for", "[report][published]") {
  for (const bool letter : {false, true}) {
    const auto pdf = sensor_fit_sheet_pdf(samples::within_swing(), context_of(letter, false));
    REQUIRE(pdf.has_value());
    CHECK(pdf.value().rfind("%PDF-", 0) == 0);
    CHECK(pdf.value().find("/Count 1\n") != std::string::npos);
    // ISO 216: A4 is 210 by 297 mm; US Letter is 8.5 by 11 inches.
    CHECK(pdf.value().find(letter ? "612 792" : "595.275591 841.889764") != std::string::npos);
  }
}

TEST_CASE("the same fit gives the same bytes, the second time too", "[report][synthetic]") {
  const SensorFit fit = samples::over_tumble();
  const SheetContext context = context_of(false, false);
  const auto pdf = sensor_fit_sheet_pdf(fit, context);
  const auto svg = sensor_fit_sheet_svg(fit, context);
  REQUIRE(pdf.has_value());
  REQUIRE(svg.has_value());
  CHECK(pdf.value() == sensor_fit_sheet_pdf(fit, context).value());
  CHECK(svg.value() == sensor_fit_sheet_svg(fit, context).value());
  CHECK(svg.value().find("<svg") != std::string::npos);
}

TEST_CASE("a PDF is dated by the recording, not by the clock", "[report][published]") {
  const auto pdf = sensor_fit_sheet_pdf(samples::within_swing(), context_of(false, false));
  REQUIRE(pdf.has_value());
  // ISO 32000-1, 7.9.4: (D:YYYYMMDDHHmm...)
  CHECK(pdf.value().find("/CreationDate (D:202605140000)") != std::string::npos);
}

TEST_CASE("a sheet says the sentence, the verdict, the file and the limit", "[report][synthetic]") {
  for (const samples::NamedFit& sample : samples::all()) {
    INFO(sample.name);
    const PageRecord page = drawn(sample.fit, context_of(false, false));
    CHECK(has(page, sample.fit.sentence));
    CHECK(has(page, std::string{to_word(sample.fit.verdict.state)}));
    CHECK(has(page, "9f2c 71d0 4be8 a356 c0ff ee12"));
    CHECK(has(page, "Quietnorth 0.1.0"));
    CHECK(has(page, "Sensor fit · Brindle"));
    CHECK(has(page, "14 May 2026 · east apron · sheet 1 of 1"));
    CHECK(has(page,
              "Local rules and the licensed person who signs decide. Not for navigation until "
              "verified in flight."));
    CHECK(has(page, sample.fit.verdict.do_next));
    CHECK(has(page, "Before anything moves"));
    if (sample.fit.correction) CHECK(has(page, "limit 1.0° · " + sample.fit.verdict.limit->basis));
    CHECK_FALSE(has(page, "±"));
  }
}

TEST_CASE("figures of the sensor's own axes are called that", "[report][synthetic]") {
  const SheetContext context = context_of(false, false);
  CHECK(has(drawn(samples::unproven_sensor_tumble(), context), "those of the sensor’s own axes"));
  CHECK_FALSE(has(drawn(samples::within_swing(), context), "those of the sensor’s own axes"));
}

TEST_CASE("everything fits uncut where it is not extreme", "[report][synthetic]") {
  for (const samples::NamedFit& sample : samples::all()) {
    if (sample.name == "extreme") continue;
    for (const bool letter : {false, true}) {
      INFO(sample.name << (letter ? " letter" : " A4"));
      const PageRecord page = drawn(sample.fit, context_of(letter, false));
      for (const DrawnText& text : page.texts) {
        INFO(text.text);
        CHECK_FALSE(text.cut);
      }
      CHECK_FALSE(has(page, "more, see the JSON"));
    }
  }
}

TEST_CASE("what has no room is counted and the JSON is named", "[report][synthetic]") {
  const PageRecord page = drawn(samples::extreme_texts(), context_of(true, true));
  CHECK(has(page, "and 7 more, see the JSON"));  // of 8 unobserved things
  CHECK(has(page, "What this recording cannot show"));
  CHECK(has(page, "Assumed"));
  CHECK(has(page, "Found in the recording"));
}

TEST_CASE("a fit without correction says what to do and shows no figures of one",
          "[report][synthetic]") {
  const PageRecord page = drawn(samples::without_correction(), context_of(false, false));
  CHECK(has(page, "Do next"));
  CHECK_FALSE(has(page, "After correction"));
  CHECK_FALSE(has(page, "matrix"));
}

TEST_CASE("empty texts and members leave a sheet that can be read", "[report][synthetic]") {
  SensorFit fit;  // nothing at all
  fit.earth = samples::middle_latitude();
  check_room(drawn(fit, SheetContext{}));
  fit.correction = SensorCorrection{};
  fit.sentence = "Not decided.";
  check_room(drawn(fit, SheetContext{}));
}

TEST_CASE("values that are no numbers cannot break the page", "[report][synthetic]") {
  SensorFit fit = samples::over_tumble();
  const double nan = std::numeric_limits<double>::quiet_NaN();
  const double infinite = std::numeric_limits<double>::infinity();
  for (std::size_t i = 0; i < fit.curve.size(); i += 7) fit.curve[i].before_deg = nan;
  for (std::size_t i = 3; i < fit.curve.size(); i += 9) {
    fit.curve[i].after_95.hi = Angle::degrees(infinite);
  }
  for (std::size_t i = 0; i < fit.residuals.size(); i += 5) fit.residuals[i].residual_uT = nan;
  fit.before = {Angle::degrees(infinite), nan, samples::band(nan, infinite)};
  fit.after_worst_95 = samples::band(nan, nan);
  fit.forecast[0].worst_95 = samples::band(nan, infinite);
  fit.correction->matrix[1][1] = nan;
  fit.correction->offset_sigma_uT[2] = infinite;
  fit.noise.sigma_uT = nan;
  fit.condition = infinite;
  check_room(drawn(fit, context_of(false, false)));
}

TEST_CASE("without a limit no limit line is drawn", "[report][synthetic]") {
  SensorFit fit = samples::within_swing();
  fit.verdict.limit.reset();
  const PageRecord page = drawn(fit, context_of(false, false));
  CHECK(starting(page, "limit") == nullptr);
  check_room(page);
}
