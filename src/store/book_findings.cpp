// SPDX-License-Identifier: Apache-2.0
#include "store/book.h"
#include "store/content_internal.h"
#include "store/sha256.h"

namespace qn {
namespace {

/// Fills in the hashes and keeps the bytes.
Result<std::vector<FindingInput>> kept_inputs(Database& database,
                                              const std::vector<FindingInput>& inputs) {
  std::vector<FindingInput> kept = inputs;
  for (FindingInput& input : kept) {
    if (!input.bytes) continue;
    auto sha256 = keep_content(database, *input.bytes);
    if (!sha256) return sha256.error();
    if (!input.sha256.empty() && input.sha256 != sha256.value()) {
      return Error{ErrorKind::BadInput, "the file changed while it was being worked on", input.name,
                   "the same bytes from start to end",
                   "wait until nothing writes to it, then do it again; nothing was kept"};
    }
    input.sha256 = std::move(sha256).value();
  }
  return kept;
}

Result<FindingRecord> finding_of(const Statement& row, const Database& database) {
  FindingRecord out;
  out.id = FindingId{row.integer(0)};
  NewFinding& f = out.finding;
  f.made_utc = row.text(1);
  f.command = row.text(2);
  f.program_version = row.text(3);
  f.recording = row.optional_id<RecordingId>(4);
  f.run = row.optional_id<RunId>(5);
  f.verdict = row.text(6);
  f.sentence = row.text(7);
  f.options = row.text(8);
  f.configuration = row.text(9);
  f.result = row.text(10);
  out.result_sha256 = row.text(11);
  out.sha256 = row.text(12);
  auto inputs = all_rows<FindingInput>(
      database.query(
          "SELECT role, name, sha256 FROM finding_input WHERE finding = ? ORDER BY number",
          row.integer(0)),
      [](const Statement& input) {
        return FindingInput{input.text(0), input.text(1), input.text(2), std::nullopt};
      });
  if (!inputs) return inputs.error();
  f.inputs = std::move(inputs).value();
  return out;
}

}  // namespace

Result<std::string> keep_content(Database& database, std::string_view bytes) {
  auto sha256 = sha256_hex(bytes);
  if (!sha256) return sha256;
  const auto done = database.change("INSERT INTO content VALUES (?, ?) ON CONFLICT DO NOTHING",
                                    sha256.value(), Blob{bytes});
  if (!done) return done.error();
  return sha256;
}

Result<std::string> finding_sha256(const NewFinding& f, const std::string& result_sha256) {
  Sha256 digest;
  for (const std::string* text : {&f.made_utc, &f.command, &f.program_version, &f.verdict,
                                  &f.sentence, &f.options, &f.configuration, &result_sha256}) {
    digest.add_field(*text);
  }
  for (const FindingInput& input : f.inputs) {
    digest.add_field(input.role);
    digest.add_field(input.name);
    digest.add_field(input.sha256);
  }
  return digest.hex();
}

Result<FindingId> Book::add_finding(const NewFinding& finding) {
  auto whole = Transaction::begin(database());
  if (!whole) return whole.error();
  auto inputs = kept_inputs(database(), finding.inputs);
  if (!inputs) return inputs.error();
  NewFinding f = finding;
  f.inputs = std::move(inputs).value();
  const auto result_sha256 = sha256_hex(f.result);
  if (!result_sha256) return result_sha256.error();
  const auto sha256 = finding_sha256(f, result_sha256.value());
  if (!sha256) return sha256.error();
  const auto id = inserted_id<FindingId>(database().query(
      "INSERT INTO finding (made_utc, command, program_version, recording, run, verdict, sentence, "
      "options, configuration, result, result_sha256, sha256) "
      "VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?) RETURNING id",
      f.made_utc, f.command, f.program_version, f.recording, f.run, f.verdict, f.sentence,
      f.options, f.configuration, f.result, result_sha256.value(), sha256.value()));
  if (!id) return id.error();
  std::size_t number = 0;
  for (const FindingInput& input : f.inputs) {
    std::optional<std::string> content;
    if (input.bytes) content = input.sha256;
    const auto done =
        database().change("INSERT INTO finding_input VALUES (?, ?, ?, ?, ?, ?)", id.value(),
                          number++, input.role, input.name, input.sha256, content);
    if (!done) return done.error();
  }
  if (auto done = whole.value().commit(); !done) return done.error();
  return id;
}

Result<std::vector<FindingRecord>> Book::findings() const {
  return all_rows<FindingRecord>(
      database().query("SELECT id, made_utc, command, program_version, recording, run, verdict, "
                       "sentence, options, configuration, result, result_sha256, sha256 "
                       "FROM finding ORDER BY id"),
      [this](const Statement& row) { return finding_of(row, database()); });
}

Result<std::string> Book::content(const std::string& sha256) const {
  auto row = database().query("SELECT bytes FROM content WHERE sha256 = ?", sha256);
  if (!row) return row.error();
  const auto there = row.value().step();
  if (!there) return there.error();
  if (!there.value()) {
    return Error{ErrorKind::BadInput, "the book does not hold the bytes of " + sha256, path(),
                 "the hash of an input that was kept with its bytes",
                 "use the file itself: what is too large is kept by its hash only"};
  }
  return row.value().bytes(0);
}

}  // namespace qn
