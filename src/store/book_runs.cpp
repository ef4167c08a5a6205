// SPDX-License-Identifier: Apache-2.0
#include "store/book.h"
#include "store/book_file_internal.h"

namespace qn {

Result<RunId> Book::start_run(const NewRun& run) {
  return inserted_id<RunId>(database().query(
      "INSERT INTO run (procedure, recording, started_utc, plan) VALUES (?, ?, ?, ?) RETURNING id",
      run.procedure, run.recording, run.started_utc, run.plan));
}

Result<std::size_t> Book::append_event(RunId run, const RunEvent& event) {
  const auto id = static_cast<std::int64_t>(run);
  auto whole = Transaction::begin(database());
  if (!whole) return whole.error();
  if (auto known = check_known(database(), "run", id); !known) return known.error();
  if (!event.key.empty()) {
    // Sent again because the answer to the first sending was lost on its way.
    const auto again =
        database().number("SELECT number FROM run_event WHERE run = ? AND key = ?", id, event.key);
    if (!again) return again.error();
    if (again.value()) return static_cast<std::size_t>(*again.value());
  }
  const auto next =
      database().number("SELECT coalesce(max(number) + 1, 0) FROM run_event WHERE run = ?", id);
  if (!next) return next.error();
  const auto number = static_cast<std::size_t>(next.value().value_or(0));
  if (auto done = database().change("INSERT INTO run_event VALUES (?, ?, ?, ?, ?, ?)", id, number,
                                    event.time_s, event.kind, event.payload, event.key);
      !done) {
    return done.error();
  }
  if (auto done = whole.value().commit(); !done) return done.error();
  return number;
}

Result<std::vector<RunEvent>> Book::events(RunId run) const {
  return all_rows<RunEvent>(
      database().query(
          "SELECT time_s, kind, payload, key FROM run_event WHERE run = ? ORDER BY number", run),
      [](const Statement& row) {
        return RunEvent{row.real(0), row.text(1), row.text(2), row.text(3)};
      });
}

Result<Done> Book::end_run(RunId run, double ended_s) {
  const auto id = static_cast<std::int64_t>(run);
  if (auto known = check_known(database(), "run", id); !known) return known;
  return database().change("UPDATE run SET ended_s = ? WHERE id = ?", ended_s, id);
}

Result<std::vector<RunRecord>> Book::runs() const {
  return all_rows<RunRecord>(
      database().query("SELECT id, procedure, recording, started_utc, plan, ended_s, "
                       "(SELECT count(*) FROM run_event WHERE run = id) FROM run ORDER BY id"),
      [](const Statement& row) {
        RunRecord out;
        out.id = RunId{row.integer(0)};
        out.head.procedure = row.text(1);
        out.head.recording = row.optional_id<RecordingId>(2);
        out.head.started_utc = row.text(3);
        out.head.plan = row.text(4);
        out.ended_s = row.optional_real(5);
        out.events = static_cast<std::size_t>(row.integer(6));
        return out;
      });
}

}  // namespace qn
