// SPDX-License-Identifier: Apache-2.0
#include <catch2/catch.hpp>
#include <fstream>

#include "store/raw_sqlite.h"
#include "store/watched_files.h"
#include "support/sample_book.h"

using namespace qn;
using namespace qn::test;

namespace {

/// The faults of the sample book after `damage` was done to it behind our back.
std::string faults_after(const std::string& damage) {
  const WatchedFiles no_waiting_for_the_disk;
  const TemporaryFolder folder;
  const std::string path = folder.path("b.qnbook");
  {
    Book book = new_book(path);
    fill_sample(book);
  }
  RawSqlite{path}.run("PRAGMA foreign_keys = OFF;" + damage);
  return faults_of(must(Book::open_read_only(path)));
}

bool holds(const std::string& text, const std::string& words) {
  INFO(text);
  return text.find(words) != std::string::npos;
}

}  // namespace

TEST_CASE("a check finds every kind of damage and says where it is", "[store][closed-form]") {
  CHECK(faults_after("SELECT 1").empty());
  const std::string free_chunks = "DROP TRIGGER chunk_stays;";
  const std::string chunk = "UPDATE chunk SET bytes = x'00' WHERE stretch = 2 AND link = 0";
  CHECK(
      holds(faults_after(free_chunks + chunk), "recording 1, link 0, from 2.0 to 3.0 s: the raw"));
  CHECK(
      holds(faults_after(free_chunks + "UPDATE chunk SET pieces = zeroblob(12) WHERE stretch = 3"),
            "recording 1, link 0, from 3.0 to 4.0 s: the raw bytes"));
  CHECK(holds(faults_after("DROP TRIGGER content_stays;"
                           "UPDATE content SET bytes = x'00' WHERE sha256 IN "
                           "(SELECT content FROM finding_input WHERE role = 'marks')"),
              "the bytes of a kept file are not those of its hash"));
  for (const char* column : {"result", "options", "configuration", "sentence", "verdict",
                             "program_version", "made_utc", "command", "result_sha256"}) {
    INFO(column);
    CHECK(faults_after("DROP TRIGGER finding_stays; UPDATE finding SET " + std::string{column} +
                       " = 'x' WHERE id = 2") ==
          "finding 2: the finding is not the one that was kept\n");
  }
  CHECK(faults_after("DROP TRIGGER finding_input_stays; UPDATE finding_input SET name = 'other' "
                     "WHERE finding = 1 AND role = 'video'") ==
        "finding 1: the finding is not the one that was kept\n");
  CHECK(holds(faults_after("DELETE FROM finding_input WHERE finding = 1 AND number = 3"),
              "finding 1"));
  CHECK(holds(faults_after("DELETE FROM sensor"), "points to one of table sensor"));
  CHECK(holds(faults_after("DELETE FROM book"), "does not say whose it is"));
  CHECK(holds(faults_after("DROP TABLE mark"), "table mark: a table is missing"));
  CHECK(holds(faults_after("UPDATE device SET kind = 'odd'"), "no kind of device"));
}

TEST_CASE("damaged raw bytes are not handed out as if they were sound", "[store][closed-form]") {
  const TemporaryFolder folder;
  const std::string path = folder.path("b.qnbook");
  {
    Book book = new_book(path);
    fill_sample(book);
  }
  RawSqlite{path}.run("DROP TRIGGER chunk_stays; UPDATE chunk SET bytes = x'00' WHERE stretch = 2");
  const Book book = must(Book::open(path));
  std::size_t sound = 0;
  const auto read = book.read_stretches(RecordingId{1}, 0, [&](const Stretch&) {
    ++sound;
    return true;
  });
  REQUIRE_FALSE(read);
  CHECK(read.error().kind == ErrorKind::Corrupt);
  CHECK(read.error().what.find("from 2 to 3 s of recording 1") != std::string::npos);
  CHECK(sound == 2);
  // What comes after it can still be had.
  CHECK(book.read_stretches(RecordingId{1}, 3, [](const Stretch&) { return true; }));
}

TEST_CASE("raw bytes, journals and findings cannot be changed by a slip", "[store][closed-form]") {
  const TemporaryFolder folder;
  const std::string path = folder.path("b.qnbook");
  {
    Book book = new_book(path);
    fill_sample(book);
  }
  RawSqlite raw{path};
  for (const char* change :
       {"UPDATE chunk SET bytes = x'00'", "UPDATE run_event SET payload = ''",
        "DELETE FROM run_event", "UPDATE finding SET verdict = 'within'",
        "UPDATE finding_input SET name = ''", "UPDATE content SET bytes = x'00'"}) {
    INFO(change);
    CHECK(raw.text(change).find("failed: ") == 0);
  }
}

TEST_CASE("a page that the disk has garbled is found, and read as damaged", "[store][synthetic]") {
  const TemporaryFolder folder;
  const std::string path = folder.path("b.qnbook");
  {
    Book book = new_book(path);
    fill_sample(book);
  }
  const auto size = std::filesystem::file_size(path);
  int found = 0, tried = 0;
  for (std::uintmax_t page = 1; page < size / 4096; ++page) {
    const std::string damaged = folder.path("damaged.qnbook");
    std::filesystem::copy_file(path, damaged, std::filesystem::copy_options::overwrite_existing);
    {
      std::fstream file{damaged, std::ios::binary | std::ios::in | std::ios::out};
      file.seekp(static_cast<std::streamoff>(page * 4096));
      file << std::string(4096, '\x5a');
    }
    ++tried;
    INFO("page " << page);
    const auto book = Book::open_read_only(damaged);
    if (!book) {
      CHECK(book.error().kind == ErrorKind::Corrupt);
      ++found;
      continue;
    }
    if (!faults_of(book.value()).empty()) ++found;
  }
  CHECK(tried > 10);
  // A page that holds nothing may hold anything.
  CHECK(found >= tried - RawSqlite{path}.number("PRAGMA freelist_count"));
}
