// SPDX-License-Identifier: Apache-2.0
#include <catch2/catch.hpp>
#include <filesystem>
#include <nlohmann/json.hpp>

#include "cli/disturb_files.h"
#include "support/sample_book.h"

using namespace qn::test;
using nlohmann::json;
namespace fs = std::filesystem;

namespace {

/// A run with its files, and a new book beside them.
class BookFolder {
 public:
  BookFolder() {
    const auto made = run_program("book new " + book() + " --aircraft Brindle --equipment " +
                                  run.path("equipment.csv"));
    if (made.exit_code != 0) FAIL(made.err);
  }
  std::string book() const { return run.path("b.qnbook"); }
  json shown() const {
    const auto answer = run_program("book show --json " + book());
    if (answer.exit_code != 0) FAIL(answer.err);
    return json::parse(answer.out);
  }
  RunFolder run;
};

}  // namespace

TEST_CASE("a book is made, filled and shown from the command line", "[cli][synthetic]") {
  const BookFolder folder;
  const std::string book = folder.book();
  CHECK(run_program("book sensor " + book + " wing --mount x=-y,y=x,z=z --accel-reads up")
            .exit_code == 0);
  CHECK(run_program("book site " + book + " bay --at 49.3,10.2 --horizontal-uT 20 --vertical-uT 45")
            .exit_code == 0);
  const json shown = folder.shown();
  CHECK(shown.at("schema") == "quietnorth/book/1");
  CHECK(shown.at("aircraft") == "Brindle");
  CHECK(shown.at("equipment").size() == 2);
  CHECK(shown.at("sensors")[0].at("mounting") == "x=-y,y=x,z=z");
  CHECK(shown.at("sites")[0].at("latitude_deg") == 49.3);
  const auto text = run_program("book show " + book);
  CHECK(text.exit_code == 0);
  CHECK(says(text.out, "Brindle: 2 devices, 0 recordings, 0 runs, 0 findings."));
  const auto list = run_program("book equipment " + book);
  CHECK(says(list.out, "radio,steady"));
  folder.run.write("other.csv", "device,states\npump,off|on\n");
  CHECK(
      run_program("book equipment " + book + " --set " + folder.run.path("other.csv")).exit_code ==
      0);
  CHECK(folder.shown().at("equipment")[0].at("device") == "pump");
}

TEST_CASE("disturb analyse --book keeps files, options, configuration and answer",
          "[cli][synthetic]") {
  const BookFolder folder;
  const auto answer = run_program(folder.run.listed() + "--json --rigid --limit-deg 2 --book " +
                                  folder.book() + " --configuration canopy=closed");
  INFO(answer.err);
  REQUIRE(answer.exit_code == 0);
  CHECK(says(answer.err, "Kept as finding 1 of b.qnbook."));
  const json shown = folder.shown();
  const json& finding = shown.at("findings").at(0);
  const json document = json::parse(answer.out);
  CHECK(finding.at("command") == "disturb analyse");
  CHECK(finding.at("sentence") == document.at("sentence"));
  CHECK(finding.at("verdict") == document.at("verdict").at("state"));
  CHECK(finding.at("options") ==
        json{{"horizontal_uT", 20.0}, {"vertical_uT", 45.0}, {"limit_deg", 2.0}, {"rigid", true}});
  CHECK(finding.at("configuration") ==
        json{{"light", "off"}, {"radio", "off"}, {"canopy", "closed"}});
  REQUIRE(finding.at("inputs").size() == 3);
  CHECK(finding.at("inputs")[0].at("sha256") == document.at("recording").at("sha256"));
  CHECK_FALSE(says(shown.dump(), folder.run.path("")));  // names, not places on this machine

  const qn::Book book = must(qn::Book::open_read_only(folder.book()));
  const auto kept = must(book.findings()).at(0);
  CHECK(kept.finding.result == answer.out);
  CHECK(must(book.content(kept.finding.inputs[1].sha256)) == kMarks);
  CHECK(faults_of(book).empty());
}

TEST_CASE("sensor fit --book keeps its finding, too", "[cli][synthetic]") {
  const SimulatedFolder sensor{"swing"};
  const std::string book = sensor.path("b.qnbook");
  REQUIRE(run_program("book new " + book + " --aircraft Tern").exit_code == 0);
  const auto answer = run_program("sensor " + sensor.log() + kThere + "--json --book " + book);
  INFO(answer.err);
  REQUIRE(answer.exit_code == 0);
  const auto kept = must(must(qn::Book::open_read_only(book)).findings());
  REQUIRE(kept.size() == 1);
  CHECK(kept[0].finding.command == "sensor fit");
  CHECK(kept[0].finding.result == answer.out);
  CHECK(json::parse(kept[0].finding.options).at("on") == "2026-05-14");
}

TEST_CASE("work that is refused leaves no finding", "[cli][synthetic]") {
  const BookFolder folder;
  const std::string with_book = " --book " + folder.book();
  folder.run.write("bad.csv", "time_s,device,state\nsoon,light,on\n");
  check_refused(run_program(folder.run.words("log.csv", "bad.csv") + with_book), 3, "bad.csv");
  check_refused(run_program(folder.run.words() + " --book " + folder.run.path("none.qnbook")), 3,
                "no such book");
  check_refused(run_program(folder.run.words() + " --book " + folder.run.path("log.csv")), 3,
                "no aircraft book");
  check_refused(run_program(folder.run.words() + with_book + " --configuration canopy"), 2,
                "--configuration");
  check_refused(run_program(folder.run.words() + " --configuration canopy=open"), 2, "--book");
  CHECK(folder.shown().at("findings").empty());
}

TEST_CASE("a book that another program writes to is refused with its process", "[cli][synthetic]") {
  const BookFolder folder;
  const qn::Book held = must(qn::Book::open(folder.book()));
  check_refused(run_program(folder.run.words() + " --book " + folder.book()), 4,
                "(process " + std::to_string(::getpid()) + ")");
  CHECK(run_program("book show " + folder.book()).exit_code == 0);
  CHECK(run_program("book copy " + folder.book() + " " + folder.run.path("c.qnbook")).exit_code ==
        0);
}

TEST_CASE("export, import, copy and check go through the command line", "[cli][synthetic]") {
  const BookFolder folder;
  REQUIRE(run_program(folder.run.words() + " --book " + folder.book()).exit_code == 0);
  const std::string out = folder.run.path("out"), again = folder.run.path("again.qnbook");
  CHECK(run_program("book export " + folder.book() + " " + out).exit_code == 0);
  const auto imported = run_program("book import " + out + " " + again);
  CHECK(imported.exit_code == 0);
  CHECK(says(imported.out, "is equal to the book that was exported"));
  CHECK(json::parse(run_program("book show --json " + again).out).at("content_sha256") ==
        folder.shown().at("content_sha256"));
  check_refused(run_program("book import " + out + " " + again), 4, "already");
  check_refused(run_program("book export " + folder.book() + " " + out), 4, "already");
  check_refused(run_program("book copy " + folder.book() + " " + again), 4, "already");

  CHECK(run_program("book check " + again).exit_code == 0);
  std::fstream file{again, std::ios::binary | std::ios::in | std::ios::out};
  const std::string bytes{std::istreambuf_iterator<char>{file}, {}};
  file.seekp(static_cast<std::streamoff>(bytes.find("60.3,light")));
  file << "61.3";
  file.close();
  const auto checked = run_program("book check " + again);
  INFO(checked.out << checked.err);
  CHECK(checked.exit_code == 3);
  CHECK(says(checked.out, "is damaged in 1 place"));
  CHECK_FALSE(json::parse(run_program("book check --json " + again).out).at("sound").get<bool>());
}

TEST_CASE("what is wrong with a book command is said, and nothing is made", "[cli][closed-form]") {
  const BookFolder folder;
  const std::string other = folder.run.path("other.qnbook");
  check_refused(run_program("book new " + folder.book() + " --aircraft Tern"), 4, "already");
  check_refused(run_program("book new " + other + " --aircraft ' '"), 2, "--aircraft");
  check_refused(run_program("book new " + other + " --aircraft Tern --equipment " +
                            folder.run.path("marks.csv")),
                3, "marks.csv");
  CHECK_FALSE(fs::exists(other));
  check_refused(run_program("book new " + folder.run.path("none/x.qnbook") + " --aircraft Tern"), 4,
                "x.qnbook");
  check_refused(run_program("book show " + other), 3, "no such book");
  check_refused(run_program("book check " + folder.run.path("")), 3, "folder");
  check_refused(run_program("book sensor " + folder.book() + " wing --mount x=x"), 2, "--mount");
  check_refused(run_program("book sensor " + folder.book() + " wing --unit gauss"), 2, "--unit");
  check_refused(run_program("book site " + folder.book() + " bay --at 95,10"), 2, "--at");
  check_refused(run_program("book site " + folder.book() + " bay --vertical-uT 45"), 2,
                "--horizontal-uT");
  check_refused(run_program("book"), 2, "book --help");
}
