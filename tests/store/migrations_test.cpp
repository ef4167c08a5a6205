// SPDX-License-Identifier: Apache-2.0
#include <catch2/catch.hpp>
#include <filesystem>

#include "store/raw_sqlite.h"
#include "support/sample_book.h"

using namespace qn;
using namespace qn::test;

namespace {

// Version 1 as the first program wrote it. Never edited: it stands for books that exist.
constexpr const char* kVersion1 = R"sql(
CREATE TABLE book (id INTEGER PRIMARY KEY CHECK (id = 1), aircraft TEXT NOT NULL,
  created_utc TEXT NOT NULL, note TEXT NOT NULL) STRICT;
CREATE TABLE device (position INTEGER PRIMARY KEY, name TEXT NOT NULL UNIQUE COLLATE NOCASE,
  kind TEXT NOT NULL, current_A REAL, states TEXT NOT NULL, max_on_s REAL, min_rest_s REAL,
  transit_s REAL NOT NULL, phases TEXT NOT NULL, needs TEXT NOT NULL, caution TEXT NOT NULL,
  optional INTEGER NOT NULL CHECK (optional IN (0, 1)), note TEXT NOT NULL) STRICT;
CREATE TABLE sensor (id INTEGER PRIMARY KEY, name TEXT NOT NULL UNIQUE COLLATE NOCASE,
  unit TEXT NOT NULL, mounting TEXT NOT NULL, accel_reads TEXT NOT NULL, note TEXT NOT NULL) STRICT;
CREATE TABLE site (id INTEGER PRIMARY KEY, name TEXT NOT NULL UNIQUE COLLATE NOCASE,
  latitude_deg REAL, longitude_deg REAL, altitude_m REAL, horizontal_uT REAL, vertical_uT REAL,
  note TEXT NOT NULL) STRICT;
CREATE TABLE recording (id INTEGER PRIMARY KEY, name TEXT NOT NULL, started_utc TEXT NOT NULL,
  site INTEGER REFERENCES site, ended_s REAL, note TEXT NOT NULL) STRICT;
CREATE TABLE link (recording INTEGER NOT NULL REFERENCES recording, number INTEGER NOT NULL,
  name TEXT NOT NULL, source TEXT NOT NULL, sensor INTEGER REFERENCES sensor,
  PRIMARY KEY (recording, number)) STRICT, WITHOUT ROWID;
CREATE TABLE stretch (recording INTEGER NOT NULL REFERENCES recording, number INTEGER NOT NULL,
  from_s REAL NOT NULL, until_s REAL NOT NULL CHECK (until_s >= from_s),
  PRIMARY KEY (recording, number)) STRICT, WITHOUT ROWID;
CREATE TABLE chunk (recording INTEGER NOT NULL, stretch INTEGER NOT NULL, link INTEGER NOT NULL,
  bytes BLOB NOT NULL, pieces BLOB NOT NULL, sha256 TEXT NOT NULL,
  PRIMARY KEY (recording, stretch, link),
  FOREIGN KEY (recording, stretch) REFERENCES stretch (recording, number),
  FOREIGN KEY (recording, link) REFERENCES link (recording, number)) STRICT;
CREATE TABLE decoding (id INTEGER PRIMARY KEY, recording INTEGER NOT NULL, link INTEGER NOT NULL,
  decoder TEXT NOT NULL, decoder_version TEXT NOT NULL, settings TEXT NOT NULL,
  made_utc TEXT NOT NULL, tally TEXT NOT NULL,
  FOREIGN KEY (recording, link) REFERENCES link (recording, number)) STRICT;
CREATE TABLE mark (recording INTEGER NOT NULL REFERENCES recording, number INTEGER NOT NULL,
  time_s REAL NOT NULL, device TEXT NOT NULL, state TEXT NOT NULL,
  PRIMARY KEY (recording, number)) STRICT, WITHOUT ROWID;
CREATE TABLE run (id INTEGER PRIMARY KEY, procedure TEXT NOT NULL,
  recording INTEGER REFERENCES recording, started_utc TEXT NOT NULL, ended_s REAL,
  plan TEXT NOT NULL) STRICT;
CREATE TABLE run_event (run INTEGER NOT NULL REFERENCES run, number INTEGER NOT NULL,
  time_s REAL NOT NULL, kind TEXT NOT NULL, payload TEXT NOT NULL, key TEXT NOT NULL,
  PRIMARY KEY (run, number)) STRICT, WITHOUT ROWID;
CREATE UNIQUE INDEX run_event_key ON run_event (run, key) WHERE key <> '';
CREATE TABLE finding (id INTEGER PRIMARY KEY, made_utc TEXT NOT NULL, command TEXT NOT NULL,
  program_version TEXT NOT NULL, recording INTEGER REFERENCES recording,
  run INTEGER REFERENCES run, verdict TEXT NOT NULL, sentence TEXT NOT NULL,
  options TEXT NOT NULL, configuration TEXT NOT NULL, result TEXT NOT NULL,
  result_sha256 TEXT NOT NULL, sha256 TEXT NOT NULL) STRICT;
CREATE TABLE finding_input (finding INTEGER NOT NULL REFERENCES finding, number INTEGER NOT NULL,
  role TEXT NOT NULL, name TEXT NOT NULL, sha256 TEXT NOT NULL, bytes BLOB,
  PRIMARY KEY (finding, number)) STRICT;
CREATE TRIGGER chunk_stays BEFORE UPDATE ON chunk
  BEGIN SELECT raise(ABORT, 'raw bytes are never changed'); END;
CREATE TRIGGER run_event_stays BEFORE UPDATE ON run_event
  BEGIN SELECT raise(ABORT, 'the journal of a run is only added to'); END;
CREATE TRIGGER run_event_kept BEFORE DELETE ON run_event
  BEGIN SELECT raise(ABORT, 'the journal of a run is only added to'); END;
CREATE TRIGGER finding_stays BEFORE UPDATE ON finding
  BEGIN SELECT raise(ABORT, 'a finding is never changed: make a new one'); END;
PRAGMA application_id = 0x514E626B;
PRAGMA user_version = 1;
)sql";

/// The sample as version 1 had it: rows taken from a book of today, contents put back into each
/// input that they belong to.
std::string version_1_book(const TemporaryFolder& folder) {
  {
    Book book = new_book(folder.path("today.qnbook"));
    fill_sample(book);
  }
  std::string path = folder.path("old.qnbook");
  RawSqlite old{path};
  old.run(kVersion1);
  old.run("ATTACH '" + folder.path("today.qnbook") + "' AS today");
  for (const char* table : {"book", "device", "sensor", "site", "recording", "link", "stretch",
                            "chunk", "mark", "run", "run_event", "finding"}) {
    old.run("INSERT INTO main." + std::string{table} + " SELECT * FROM today." + table);
  }
  old.run(
      "INSERT INTO main.decoding SELECT id, recording, link, decoder, decoder_version, "
      "settings, made_utc, tally FROM today.decoding");
  old.run(
      "INSERT INTO main.finding_input SELECT finding, number, role, name, i.sha256, c.bytes "
      "FROM today.finding_input i LEFT JOIN today.content c ON c.sha256 = i.content");
  old.run("PRAGMA journal_mode = WAL");
  return path;
}

/// What a book of today holds that version 1 could not: samples of a decoding.
std::string today_without_samples(const TemporaryFolder& folder) {
  RawSqlite today{folder.path("today.qnbook")};
  today.run(
      "UPDATE decoding SET samples = NULL; DELETE FROM content WHERE sha256 NOT IN "
      "(SELECT content FROM finding_input WHERE content IS NOT NULL)");
  return folder.path("today.qnbook");
}

}  // namespace

TEST_CASE("a book of version 1 is brought up and loses nothing", "[store][synthetic]") {
  const TemporaryFolder folder;
  const std::string path = version_1_book(folder);
  const std::string expected =
      must(must(Book::open_read_only(today_without_samples(folder))).content_sha256());
  const std::string inputs =
      "SELECT group_concat(finding || number || role || name || sha256) FROM finding_input";
  const std::string before = RawSqlite{path}.text(inputs);
  {
    const Book book = must(Book::open(path));
    REQUIRE(book.remarks().size() == 1);
    CHECK(book.remarks()[0].find("was of version 1 and is now of version 2") != std::string::npos);
    CHECK(must(book.content_sha256()) == expected);
    CHECK(faults_of(book).empty());
    const auto finding = must(book.findings()).at(1);
    CHECK(must(book.content(finding.finding.inputs[2].sha256)) == "time_s,field_x_uT\n0,1\n");
  }
  CHECK(RawSqlite{path}.number("PRAGMA user_version") == 2);
  CHECK(RawSqlite{path}.text(inputs) == before);
  CHECK(RawSqlite{path}.number("SELECT count(*) FROM content") == 2);
  CHECK(integrity_of(path) == "ok");
  CHECK(must(Book::open(path)).remarks().empty());
}

TEST_CASE("a book of version 1 is read without being changed", "[store][synthetic]") {
  const TemporaryFolder folder;
  const std::string path = version_1_book(folder);
  {
    const Book book = must(Book::open_read_only(path));
    REQUIRE(book.remarks().size() == 1);
    CHECK(book.remarks()[0].find("the file itself is as it was") != std::string::npos);
    CHECK(must(book.findings()).size() == 2);
    CHECK(faults_of(book).empty());
    must(book.copy_to(folder.path("copy.qnbook")));
  }
  CHECK(RawSqlite{path}.number("PRAGMA user_version") == 1);
  CHECK(must(Book::open(folder.path("copy.qnbook"))).remarks().empty());
}

TEST_CASE("a book brought up has the same tables as a new one", "[store][closed-form]") {
  const TemporaryFolder folder;
  const std::string path = version_1_book(folder);
  { const Book book = must(Book::open(path)); }
  const std::string schema =
      "SELECT group_concat(sql, ';') FROM (SELECT sql FROM sqlite_schema ORDER BY name)";
  CHECK(RawSqlite{path}.text(schema) == RawSqlite{folder.path("today.qnbook")}.text(schema));
}

TEST_CASE("a book that cannot be brought up stays as it was", "[store][closed-form]") {
  const TemporaryFolder folder;
  const std::string path = version_1_book(folder);
  RawSqlite{path}.run("INSERT INTO finding_input VALUES (77, 0, 'log', 'x.csv', 'hash', NULL)");
  const auto refused = Book::open(path);
  REQUIRE_FALSE(refused);
  CHECK(refused.error().kind == ErrorKind::Corrupt);
  CHECK(RawSqlite{path}.number("PRAGMA user_version") == 1);
  CHECK(RawSqlite{path}.number("SELECT count(bytes) FROM finding_input") == 6);
}
