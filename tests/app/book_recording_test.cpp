// SPDX-License-Identifier: Apache-2.0
#include "app/book_recording.h"

#include <catch2/catch.hpp>

#include "app/decoded_log.h"
#include "support/temporary_folder.h"

using namespace qn;

namespace {

std::shared_ptr<SharedBook> new_book(const test::TemporaryFolder& folder) {
  auto book = Book::create(folder.path("a.qnbook"), {"Brindle", "2026-05-14T08:00:00Z", ""});
  REQUIRE(book);
  return std::make_shared<SharedBook>(std::move(book).value());
}

LinkDescription port() {
  LinkDescription link;
  link.address = "serial:/dev/ttyUSB0@38400";
  link.decoder.columns = "field_x_uT,field_y_uT,field_z_uT";
  link.joins_midway = true;
  return link;
}

RecordingId begin(Book& book) {
  const auto id = start_book_recording(
      book, {"run", "2026-05-14T08:00:00Z", std::nullopt, "", {{"sensor", port().address, {}}}},
      {port()});
  REQUIRE(id);
  return id.value();
}

LinkEvent bytes(double time_s, std::string text) {
  return {LinkEvent::Kind::bytes, 1, time_s, std::move(text)};
}

}  // namespace

TEST_CASE("what a link brings comes back as it came, and where it was opened again",
          "[app][closed-form]") {
  const test::TemporaryFolder folder;
  const auto book = new_book(folder);
  const RecordingId id = begin(book->book);
  const auto sink = book_chunk_sink(book, id, 0.0, 0.0);
  REQUIRE(sink->add({LinkEvent::Kind::opened, 1, 0.1, ""}));
  REQUIRE(sink->add(bytes(0.5, "x,y,z\n20.0,-3.0,43.0\n20.")));
  REQUIRE(sink->flush(1.0));
  REQUIRE(sink->add(bytes(1.2, "1,-3.0,43.0\n20.2,-3")));
  // The cable was out: half a line before, half a line after.
  REQUIRE(sink->add({LinkEvent::Kind::lost, 1, 1.5, ""}));
  REQUIRE(sink->add({LinkEvent::Kind::opened, 1, 3.0, ""}));
  REQUIRE(sink->add(bytes(3.5, ".1,-3.0,43.0\n20.4,-3.0,43.0\n")));
  REQUIRE(sink->flush(4.0));
  const auto back = book_link_recording(book->book, id);
  REQUIRE(back);
  CHECK(back.value().links.size() == 1);
  CHECK(back.value().links[0].decoder.columns == port().decoder.columns);
  CHECK(back.value().links[0].joins_midway);
  CHECK(back.value().last_s == 4.0);
  REQUIRE(back.value().events.size() == 5);
  CHECK(back.value().events[1].text == "x,y,z\n20.0,-3.0,43.0\n20.");
  CHECK(back.value().events[1].time_s == 0.5);
  CHECK(back.value().events[3].kind == LinkEvent::Kind::opened);
  const auto log = decoded_log(back.value(), {});
  REQUIRE(log);
  CHECK(log.value().rows == 3);  // 20.0, 20.1 and 20.4: no number is made of two halves
  CHECK(log.value().csv.find("20.2") == std::string::npos);
}

TEST_CASE("a recording that goes on after a crash has later times", "[app][closed-form]") {
  const test::TemporaryFolder folder;
  const auto book = new_book(folder);
  const RecordingId id = begin(book->book);
  const auto first = book_chunk_sink(book, id, 0.0, 0.0);
  REQUIRE(first->add(bytes(0.5, "1,2,3\n")));
  REQUIRE(first->flush(1.0));
  const auto second = book_chunk_sink(book, id, 10.0, 10.0);
  REQUIRE(second->add(bytes(0.5, "4,5,6\n")));
  REQUIRE(second->flush(0.7));
  CHECK(book->book.complete_until_s(id).value() == Approx(10.7));
  const auto back = book_link_recording(book->book, id);
  REQUIRE(back);
  CHECK(back.value().events.back().time_s == 10.5);
  // Opening the links took 0.5 s: their zero lies before the end of what is kept, what comes does
  // not.
  const auto third = book_chunk_sink(book, id, 10.5, 11.0);
  REQUIRE(third->add(bytes(0.6, "7,8,9\n")));
  REQUIRE(third->flush(0.7));
  CHECK(book->book.complete_until_s(id).value() == Approx(11.2));
  // Never backward: one that would begin before the end of the last is refused, not mended.
  const auto wrong = book_chunk_sink(book, id, 5.0, 5.0);
  CHECK_FALSE(wrong->flush(0.1));
}

TEST_CASE("a recording that does not say how to read it is refused", "[app][closed-form]") {
  const test::TemporaryFolder folder;
  const auto book = new_book(folder);
  const auto id = book->book.start_recording(
      {"run", "2026-05-14T08:00:00Z", std::nullopt, "", {{"sensor", "stdin", {}}}});
  REQUIRE(id);
  CHECK(book_link_recording(book->book, id.value()).error().where.find("link 1") !=
        std::string::npos);
}
