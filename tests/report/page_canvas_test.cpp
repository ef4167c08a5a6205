// SPDX-License-Identifier: Apache-2.0
#include "report/page_canvas.h"

#include <catch2/catch.hpp>
#include <string>
#include <utility>

namespace {

using namespace qn;

PageCanvas new_page(PageFormat format) {
  auto opened = PageCanvas::open(format, kA4, {"a page", "2026-05-14"});
  REQUIRE(opened.has_value());
  return std::move(opened).value();
}

}  // namespace

TEST_CASE("a page knows the hull of what is on it, clips counted", "[report][closed-form]") {
  PageCanvas canvas = new_page(PageFormat::svg);
  canvas.fill({10, 20, 30, 40}, ink::kWords);
  canvas.line({50, 60}, {70, 60}, {ink::kWords, 2.0, Dash::solid});
  canvas.enter_clip({0, 0, 100, 100});
  canvas.fill({90, 90, 500, 500}, ink::kWords);
  canvas.leave_clip();
  const auto page = canvas.finish();
  REQUIRE(page.has_value());
  CHECK(page.value().extent.left == 10.0);
  CHECK(page.value().extent.top == 20.0);
  CHECK(page.value().extent.right == 100.0);
  CHECK(page.value().extent.bottom == 100.0);
}

TEST_CASE("a line too wide for its place is cut and says so", "[report][synthetic]") {
  PageCanvas canvas = new_page(PageFormat::pdf);
  canvas.label({100, 100}, "a rather long line of words", {}, Anchor::right, 50.0);
  const auto page = canvas.finish();
  REQUIRE(page.has_value());
  REQUIRE(page.value().texts.size() == 1);
  CHECK(page.value().texts[0].cut);
  CHECK(page.value().texts[0].ink_box.left >= 49.5);
  CHECK(page.value().texts[0].ink_box.right <= 100.5);
}

TEST_CASE("bytes that are not text and control characters can be written", "[report][synthetic]") {
  PageCanvas canvas = new_page(PageFormat::svg);
  using namespace std::string_literals;
  const std::string bytes = "a\xff\xfe\0"s + "b\n\tc\xe2\x80\xa9"s + "d";
  canvas.label({100, 100}, bytes, {});
  const auto page = canvas.finish();
  REQUIRE(page.has_value());
  CHECK(page.value().texts[0].text ==
        "a\ufffd\ufffd\ufffd"
        "b  c d");
}

TEST_CASE("a character that no font has is an error that names the package",
          "[report][synthetic]") {
  PageCanvas canvas = new_page(PageFormat::pdf);
  canvas.label({100, 100}, "hangar \U000e0fff", {});  // unassigned: no font ever has it
  canvas.label({100, 120}, "hangar \U00010ff0", {});  // unassigned too
  const auto page = canvas.finish();
  REQUIRE_FALSE(page.has_value());
  CHECK(page.error().kind == ErrorKind::Io);
  CHECK(page.error().where.find("hangar") != std::string::npos);
  CHECK(page.error().remedy.find("fonts-dejavu-core") != std::string::npos);
}

TEST_CASE("a paragraph is as high as its lines", "[report][closed-form]") {
  PageCanvas canvas = new_page(PageFormat::pdf);
  const Paragraph one{.text = "one", .style = {.size_pt = 10.0}, .line_height = 1.5};
  Paragraph many = one;
  many.text = "one two three four five six seven eight nine ten eleven twelve";
  many.max_lines = 2;
  const double first = canvas.paragraph_height(60.0, one);
  const double both = canvas.paragraph_height(60.0, many);
  CHECK(both - first == Approx(15.0).margin(0.1));  // 1.5 times the size; Pango counts in 1/1024
  CHECK(canvas.paragraph_fits(60.0, one));
  CHECK_FALSE(canvas.paragraph_fits(60.0, many));
}
