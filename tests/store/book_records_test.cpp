// SPDX-License-Identifier: Apache-2.0
#include <catch2/catch.hpp>
#include <limits>

#include "store/book_rows.h"
#include "support/sample_book.h"

using namespace qn;
using namespace qn::test;

TEST_CASE("what is put into a book comes out of it after it was closed", "[store][synthetic]") {
  const TemporaryFolder folder;
  const std::string path = folder.path("brindle.qnbook");
  {
    Book book = new_book(path);
    fill_sample(book);
  }
  const Book book = must(Book::open(path));
  CHECK(book.remarks().empty());
  CHECK(must(book.head()).aircraft == "Brindle");
  const auto equipment = must(book.equipment());
  REQUIRE(equipment.size() == 2);
  CHECK(equipment[0].name == sample_equipment()[0].name);
  CHECK(equipment[0].current_A == 7.1);
  CHECK(equipment[0].phases == sample_equipment()[0].phases);
  CHECK(equipment[0].states == std::vector<std::string>{"off", "on"});
  CHECK_FALSE(equipment[0].min_rest_s);
  CHECK(equipment[1].kind == DeviceKind::moving);
  CHECK(equipment[1].with == equipment[0].name);
  CHECK(equipment[1].optional);
  CHECK(must(book.sensors()).at(0).mounting == "x=-y,y=x,z=z");
  CHECK(must(book.sites()).at(0).horizontal_uT == 20.0);
  CHECK_FALSE(must(book.sites()).at(0).altitude_m);

  const auto recordings = must(book.recordings());
  REQUIRE(recordings.size() == 2);
  CHECK(recordings[0].head.links.at(1).name == "display heading");
  CHECK(recordings[0].head.links.at(0).sensor == must(book.sensors()).at(0).id);
  CHECK(recordings[0].complete_until_s == 5.0);
  CHECK(recordings[0].ended_s == 5.25);
  CHECK(recordings[0].stretches == 5);
  CHECK_FALSE(recordings[1].complete_until_s);
  std::size_t number = 0;
  must(book.read_stretches(recordings[0].id, 0, [&](const Stretch& stretch) {
    const Stretch expected = second_of_bytes(number++);
    REQUIRE(stretch.links.size() == expected.links.size());
    for (std::size_t i = 0; i < expected.links.size(); ++i) {
      CHECK(stretch.links[i].bytes == expected.links[i].bytes);
      CHECK(stretch.links[i].pieces == expected.links[i].pieces);
    }
    return true;
  }));
  CHECK(number == 5);
  CHECK(must(book.marks(recordings[0].id)).at(1).device == "*");
  const auto decodings = must(book.decodings(recordings[0].id));
  REQUIRE(decodings.size() == 2);
  CHECK(decodings[0].samples == "time_s,heading_deg\n0,1\n");
  CHECK_FALSE(decodings[1].samples);

  const auto runs = must(book.runs());
  REQUIRE(runs.size() == 1);
  CHECK(runs[0].events == 5);
  CHECK(must(book.events(runs[0].id)).at(2).payload == sample_event(2).payload);
  const auto findings = must(book.findings());
  REQUIRE(findings.size() == 2);
  CHECK(findings[0].finding.recording == recordings[0].id);
  CHECK(findings[0].finding.result == sample_finding().result);
  CHECK(findings[0].finding.configuration == sample_finding().configuration);
  REQUIRE(findings[0].finding.inputs.size() == 4);
  CHECK(must(book.content(findings[0].finding.inputs[0].sha256)) == "time_s,field_x_uT\n0,1\n");
  CHECK(book.content(std::string(64, 'c')).error().kind == ErrorKind::BadInput);
  CHECK(faults_of(book).empty());
}

TEST_CASE("the bytes of an input are kept once, however often they come", "[store][closed-form]") {
  const TemporaryFolder folder;
  Book book = new_book(folder.path("b.qnbook"));
  must(book.add_finding(sample_finding()));
  must(book.add_finding(sample_finding()));
  const auto tables = must(book_tables(book));
  std::size_t contents = 0;
  for (const TableShape& table : tables) {
    if (table.name != "content") continue;
    must(for_each_row(book, table, [&](const std::vector<BookCell>&) -> Result<Done> {
      ++contents;
      return Done{};
    }));
  }
  CHECK(contents == 2);  // the log, twice in each of two findings, and the marks
}

TEST_CASE("time in a recording goes forward, and gaps are allowed", "[store][closed-form]") {
  const TemporaryFolder folder;
  Book book = new_book(folder.path("b.qnbook"));
  const auto id = must(book.start_recording(sample_recording()));
  CHECK_FALSE(must(book.complete_until_s(id)));
  CHECK(must(book.append(id, second_of_bytes(0))) == 0);
  CHECK(must(book.append(id, second_of_bytes(7))) == 1);  // the program was not there from 1 to 7 s
  CHECK(must(book.complete_until_s(id)) == 8.0);
  const auto back = book.append(id, second_of_bytes(6));
  REQUIRE_FALSE(back);
  CHECK(back.error().kind == ErrorKind::BadInput);
  CHECK(back.error().what.find("after one until 8 s") != std::string::npos);
  Stretch turned{9.0, 8.5, {}};
  CHECK_FALSE(book.append(id, turned));
  CHECK_FALSE(book.append(id, {std::numeric_limits<double>::quiet_NaN(), 9.0, {}}));
  CHECK_FALSE(book.append(id, {9.0, std::numeric_limits<double>::infinity(), {}}));
  CHECK(must(book.append(id, {8.0, 9.0, {}})) == 2);  // silence is a stretch, too
  CHECK(must(book.complete_until_s(id)) == 9.0);
}

TEST_CASE("what does not fit is refused and leaves nothing behind", "[store][closed-form]") {
  const TemporaryFolder folder;
  Book book = new_book(folder.path("b.qnbook"));
  const auto id = must(book.start_recording(sample_recording()));
  const std::string before = must(book.content_sha256());
  Stretch stretch = second_of_bytes(0);
  stretch.links[1].link = 2;
  CHECK(book.append(id, stretch).error().what == "the recording has no link number 2");
  stretch = second_of_bytes(0);
  stretch.links[0].pieces.pop_back();
  CHECK(book.append(id, stretch).error().what.find("pieces of") == 0);
  stretch = second_of_bytes(0);
  stretch.links[0].pieces[3].arrival_s = std::numeric_limits<double>::infinity();
  CHECK_FALSE(book.append(id, stretch));
  CHECK(book.append(RecordingId{9}, second_of_bytes(0)).error().what ==
        "the book has no recording number 9");
  CHECK(book.append_event(RunId{9}, sample_event(0)).error().what ==
        "the book has no run number 9");
  CHECK_FALSE(book.end_run(RunId{9}, 1.0));
  CHECK_FALSE(book.end_recording(id, std::numeric_limits<double>::infinity()));
  CHECK_FALSE(book.put_sensor({{}, "not \xff text", "", "", "", ""}));
  CHECK_FALSE(book.put_sensor({{}, std::string("a\0b", 3), "", "", "", ""}));
  NewFinding finding = sample_finding();
  finding.inputs.push_back({"log", "changed.csv", std::string(64, '0'), "not those bytes"});
  CHECK(book.add_finding(finding).error().what == "the file changed while it was being worked on");
  std::vector<Device> twice = sample_equipment();
  twice.push_back(twice[1]);
  CHECK_FALSE(book.set_equipment(twice));
  CHECK(must(book.content_sha256()) == before);
}

TEST_CASE("a sensor of the same name is replaced and keeps its number", "[store][closed-form]") {
  const TemporaryFolder folder;
  Book book = new_book(folder.path("b.qnbook"));
  const auto first = must(book.put_sensor({{}, "wing", "uT", "", "", ""}));
  must(book.put_sensor({{}, "tail", "uT", "", "", ""}));
  CHECK(must(book.put_sensor({{}, "Wing", "raw", "x=y,y=-x,z=z", "", ""})) == first);
  CHECK(must(book.sensors()).size() == 2);
  CHECK(must(book.sensors())[0].unit == "raw");
}

TEST_CASE("the journal of a run is only added to, and a key counts once", "[store][closed-form]") {
  const TemporaryFolder folder;
  Book book = new_book(folder.path("b.qnbook"));
  const auto run =
      must(book.start_run({"disturbance", std::nullopt, "2026-05-14T08:00:00Z", "{}"}));
  CHECK(must(book.append_event(run, sample_event(0))) == 0);
  CHECK(must(book.append_event(run, sample_event(1))) == 1);
  CHECK(must(book.append_event(run, sample_event(0))) == 0);  // sent again by a page
  CHECK(must(book.events(run)).size() == 2);
  const auto other = must(book.start_run({"sensor", std::nullopt, "2026-05-14T08:00:00Z", "{}"}));
  CHECK(must(book.append_event(other, sample_event(0))) == 0);
  CHECK(must(book.events(other)).size() == 1);
}

TEST_CASE("every table of the book takes part in its content hash", "[store][closed-form]") {
  const TemporaryFolder folder;
  Book book = new_book(folder.path("b.qnbook"));
  fill_sample(book);
  // A value changed in any one table must show, or an import could lose it unseen.
  for (const TableShape& table : must(book_tables(book))) {
    std::size_t rows = 0;
    must(for_each_row(book, table, [&](const std::vector<BookCell>& cells) -> Result<Done> {
      CHECK(cells.size() == table.columns.size());
      ++rows;
      return Done{};
    }));
    INFO(table.name);
    CHECK(rows > 0);
    CHECK_FALSE(table.key.empty());
  }
  const std::string before = must(book.content_sha256());
  must(book.add_mark(must(book.recordings())[0].id, {1.0, "x", "y", 0}));
  CHECK(must(book.content_sha256()) != before);
}

TEST_CASE("a value in another place, or none in place of one, is another content",
          "[store][closed-form]") {
  const TemporaryFolder folder;
  Book one = new_book(folder.path("one.qnbook"));
  Book other = new_book(folder.path("other.qnbook"));
  CHECK(must(one.content_sha256()) == must(other.content_sha256()));
  must(one.put_site({{}, "bay", 1.0, std::nullopt, std::nullopt, std::nullopt, std::nullopt, ""}));
  must(
      other.put_site({{}, "bay", std::nullopt, 1.0, std::nullopt, std::nullopt, std::nullopt, ""}));
  CHECK(must(one.content_sha256()) != must(other.content_sha256()));
}
