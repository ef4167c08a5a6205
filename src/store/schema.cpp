// SPDX-License-Identifier: Apache-2.0
#include "store/schema_internal.h"

namespace qn {
namespace {

// A step that a released program has written is never edited: a change is a new step.

// Version 1. Times named _s are seconds of the recording; texts that are not known are empty.
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
)sql";

// Version 2. In version 1 each finding held its own copy of every input, and the same log analysed
// ten times made the book ten times as large. Contents are kept once, by their hash; and what a
// decoder made of a link can be kept beside the raw bytes in the same way.
constexpr const char* kVersion2 = R"sql(
CREATE TABLE content (sha256 TEXT PRIMARY KEY, bytes BLOB NOT NULL) STRICT;
INSERT INTO content SELECT sha256, bytes FROM finding_input
  WHERE bytes IS NOT NULL GROUP BY sha256 ORDER BY sha256;
CREATE TABLE finding_input_2 (finding INTEGER NOT NULL REFERENCES finding, number INTEGER NOT NULL,
  role TEXT NOT NULL, name TEXT NOT NULL, sha256 TEXT NOT NULL,
  content TEXT REFERENCES content CHECK (content IS NULL OR content = sha256),
  PRIMARY KEY (finding, number)) STRICT, WITHOUT ROWID;
INSERT INTO finding_input_2 SELECT finding, number, role, name, sha256,
  CASE WHEN bytes IS NULL THEN NULL ELSE sha256 END FROM finding_input;
DROP TABLE finding_input;
ALTER TABLE finding_input_2 RENAME TO finding_input;
ALTER TABLE decoding ADD COLUMN samples TEXT REFERENCES content;
CREATE TRIGGER content_stays BEFORE UPDATE ON content
  BEGIN SELECT raise(ABORT, 'a content is never changed'); END;
CREATE TRIGGER finding_input_stays BEFORE UPDATE ON finding_input
  BEGIN SELECT raise(ABORT, 'a finding is never changed: make a new one'); END;
)sql";

constexpr const char* kSteps[kBookVersion] = {kVersion1, kVersion2};

}  // namespace

Result<int> book_version(const Database& database) {
  const auto id = database.number("PRAGMA application_id");
  if (!id) return id.error();
  if (id.value() != kBookApplicationId) {
    return Error{ErrorKind::BadInput, "the file is no aircraft book", database.name(),
                 "a file made by `quietnorth book new`",
                 "check the name; a new book is made with `quietnorth book new`"};
  }
  const auto version = database.number("PRAGMA user_version");
  if (!version) return version.error();
  const auto found = static_cast<int>(version.value().value_or(0));
  if (found < 1) {
    return Error{ErrorKind::Corrupt, "the book does not say which version it is of",
                 database.name(), "a version from 1 on in the file's header (user_version)",
                 "keep the file as it is and go on with your last copy or export"};
  }
  if (found > kBookVersion) {
    return Error{ErrorKind::BadInput,
                 "the book was written by a newer version of the program (book version " +
                     std::to_string(found) + ")",
                 database.name(),
                 "a book of version 1 to " + std::to_string(kBookVersion) +
                     ", which is what this program reads",
                 "open it with that newer program, or export it there and import the folder here; "
                 "nothing was changed"};
  }
  return found;
}

Result<Done> migrate(Database& database, int version) {
  if (version >= kBookVersion) return Done{};
  // A table that others point to cannot be replaced while SQLite watches the pointing; it is asked
  // to look again before each step is kept.
  if (auto off = database.run("PRAGMA foreign_keys = OFF"); !off) return off.error();
  for (int at = version; at < kBookVersion; ++at) {
    auto step = Transaction::begin(database);
    if (!step) return step.error();
    if (auto done = database.run(kSteps[at]); !done) return done.error();
    const std::string number = std::to_string(at + 1);
    if (auto done = database.run("PRAGMA user_version = " + number); !done) return done.error();
    const auto loose = database.number("SELECT count(*) FROM pragma_foreign_key_check");
    if (!loose) return loose.error();
    if (loose.value().value_or(0) != 0) {
      return Error{ErrorKind::Corrupt, "entries of the book point to others that are not there",
                   database.name(), "a book in which every entry that is pointed to exists",
                   "keep a copy of the file as it is and run `quietnorth book check` of the "
                   "program version that wrote it; nothing was changed"};
    }
    if (auto done = step.value().commit(); !done) return done.error();
  }
  return Done{};
}

const std::vector<std::string>& table_names() {
  static const std::vector<std::string> names = {
      "book",    "device",   "sensor", "site", "recording", "link",    "stretch",      "chunk",
      "content", "decoding", "mark",   "run",  "run_event", "finding", "finding_input"};
  return names;
}

}  // namespace qn
