// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <set>

#include "store/book.h"
#include "store/chunk.h"
#include "store/content_internal.h"
#include "store/schema_internal.h"
#include "store/sha256.h"

namespace qn {
namespace {

/// Collects faults, and goes on with the next kind of check when one cannot be done at all.
class Faults {
 public:
  void add(std::string what, std::string where) {
    found_.push_back({std::move(what), std::move(where)});
  }
  std::vector<BookFault> found_;
};

/// Calls `each` for every row; what keeps a row from being read is a fault.
template <class Each>
void walk(Result<Statement> rows, const std::string& where, Faults& faults, const Each& each) {
  for (;;) {
    const auto row = rows ? rows.value().step() : Result<bool>{rows.error()};
    if (!row) return faults.add(row.error().what, where);
    if (!row.value()) return;
    each(std::as_const(rows.value()));
  }
}

void check_file(const Database& database, Faults& faults) {
  walk(database.query("PRAGMA integrity_check"), "the file", faults, [&](const Statement& row) {
    if (row.text(0) != "ok") faults.add(row.text(0), "the file");
  });
  walk(database.query("SELECT \"table\", parent FROM pragma_foreign_key_check"), "the file", faults,
       [&](const Statement& row) {
         faults.add("an entry points to one of table " + row.text(1) + " that is not there",
                    "table " + row.text(0));
       });
}

void check_chunks(const Database& database, Faults& faults) {
  walk(
      database.query("SELECT c.recording, c.link, s.from_s, s.until_s, c.bytes, c.pieces, c.sha256 "
                     "FROM chunk c LEFT JOIN stretch s ON s.recording = c.recording AND "
                     "s.number = c.stretch ORDER BY c.recording, c.stretch, c.link"),
      "recordings", faults, [&](const Statement& row) {
        const std::string pieces = row.bytes(5);
        const auto sha256 = chunk_sha256(row.bytes(4), pieces);
        if (sha256 && sha256.value() == row.text(6) && unpacked(pieces)) return;
        faults.add("the raw bytes are not those that were received",
                   "recording " + row.text(0) + ", link " + row.text(1) + ", from " + row.text(2) +
                       " to " + row.text(3) + " s");
      });
}

void check_contents(const Database& database, Faults& faults) {
  walk(database.query("SELECT sha256, bytes FROM content ORDER BY sha256"), "kept files", faults,
       [&](const Statement& row) {
         const auto sha256 = sha256_hex(row.bytes(1));
         if (sha256 && sha256.value() == row.text(0)) return;
         faults.add("the bytes of a kept file are not those of its hash", "file " + row.text(0));
       });
}

void check_findings(const Book& book, Faults& faults) {
  const auto findings = book.findings();
  if (!findings) return faults.add(findings.error().what, "findings");
  for (const FindingRecord& record : findings.value()) {
    const auto result = sha256_hex(record.finding.result);
    const auto whole = finding_sha256(record.finding, record.result_sha256);
    if (result && result.value() == record.result_sha256 && whole &&
        whole.value() == record.sha256) {
      continue;
    }
    faults.add("the finding is not the one that was kept",
               "finding " + std::to_string(static_cast<std::int64_t>(record.id)));
  }
}

void check_tables(const Database& database, Faults& faults) {
  std::set<std::string> expected{table_names().begin(), table_names().end()};
  walk(database.query("SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE "
                      "'sqlite_%'"),
       "the file", faults, [&](const Statement& row) { expected.erase(row.text(0)); });
  for (const std::string& missing : expected) faults.add("a table is missing", "table " + missing);
}

}  // namespace

Result<std::vector<BookFault>> Book::check() const {
  Faults faults;
  check_file(database(), faults);
  check_tables(database(), faults);
  check_chunks(database(), faults);
  check_contents(database(), faults);
  check_findings(*this, faults);
  if (const auto whose = head(); !whose) faults.add(whose.error().what, "table book");
  if (const auto list = equipment(); !list) faults.add(list.error().what, list.error().where);
  return std::move(faults.found_);
}

}  // namespace qn
