// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <cmath>
#include <numeric>

#include "store/book.h"
#include "store/book_file_internal.h"
#include "store/chunk.h"

namespace qn {
namespace {

constexpr const char* kRecordings =
    "SELECT id, name, started_utc, site, note, ended_s, "
    "(SELECT max(until_s) FROM stretch WHERE recording = id), "
    "(SELECT count(*) FROM stretch WHERE recording = id), "
    "(SELECT coalesce(sum(length(bytes)), 0) FROM chunk WHERE recording = id) FROM recording ";

Error refused(const Database& book, std::string what, std::string expected) {
  return {ErrorKind::BadInput, std::move(what), book.name(), std::move(expected),
          "correct what is handed over; nothing was written"};
}

Result<RecordingRecord> recording_of(const Statement& row, const Database& book) {
  RecordingRecord out;
  out.id = RecordingId{row.integer(0)};
  out.head = {row.text(1), row.text(2), row.optional_id<SiteId>(3), row.text(4), {}};
  out.ended_s = row.optional_real(5);
  out.complete_until_s = row.optional_real(6);
  out.stretches = static_cast<std::size_t>(row.integer(7));
  out.bytes = static_cast<std::size_t>(row.integer(8));
  auto links = all_rows<LinkRecord>(
      book.query("SELECT name, source, sensor FROM link WHERE recording = ? ORDER BY number",
                 row.integer(0)),
      [](const Statement& link) {
        return LinkRecord{link.text(0), link.text(1), link.optional_id<SensorId>(2)};
      });
  if (!links) return links.error();
  out.head.links = std::move(links).value();
  return out;
}

std::optional<Error> fault_of(const Database& book, const LinkBytes& link) {
  const auto total =
      std::accumulate(link.pieces.begin(), link.pieces.end(), std::size_t{0},
                      [](std::size_t sum, const Piece& piece) { return sum + piece.bytes; });
  if (total != link.bytes.size()) {
    return refused(
        book, fmt::format("pieces of {} bytes for {} bytes of a link", total, link.bytes.size()),
        "one arrival time for each piece, and pieces that add up");
  }
  for (const Piece& piece : link.pieces) {
    if (!std::isfinite(piece.arrival_s)) {
      return refused(book, "an arrival time that is not finite", "seconds of the recording");
    }
  }
  return std::nullopt;
}

Result<Done> add_chunk(Database& book, std::int64_t recording, std::size_t stretch,
                       const LinkBytes& link) {
  const auto known = book.number("SELECT count(*) FROM link WHERE recording = ? AND number = ?",
                                 recording, link.link);
  if (!known) return known.error();
  if (known.value().value_or(0) == 0) {
    return refused(book, "the recording has no link number " + std::to_string(link.link),
                   "a link that the recording was started with");
  }
  if (auto bad = fault_of(book, link)) return *bad;
  const std::string pieces = packed(link.pieces);
  const auto sha256 = chunk_sha256(link.bytes, pieces);
  if (!sha256) return sha256.error();
  return book.change("INSERT INTO chunk VALUES (?, ?, ?, ?, ?, ?)", recording, stretch, link.link,
                     Blob{link.bytes}, Blob{pieces}, sha256.value());
}

Result<LinkBytes> chunk_of(const Statement& row, const Database& book, std::int64_t recording,
                           const Stretch& stretch) {
  LinkBytes out;
  out.link = static_cast<std::size_t>(row.integer(0));
  out.bytes = row.bytes(1);
  const std::string pieces = row.bytes(2);
  const auto sha256 = chunk_sha256(out.bytes, pieces);
  if (!sha256) return sha256.error();
  auto whole = unpacked(pieces);
  if (sha256.value() != row.text(3) || !whole) {
    return Error{
        ErrorKind::Corrupt,
        fmt::format("the raw bytes from {} to {} s of recording {}, link {}, are not those "
                    "that were received",
                    stretch.from_s, stretch.until_s, recording, out.link),
        book.name(), "bytes that fit the hash which was kept with them",
        "run `quietnorth book check` to see what else is damaged, and use your last copy"};
  }
  out.pieces = std::move(*whole);
  return out;
}

}  // namespace

Result<RecordingId> Book::start_recording(const NewRecording& recording) {
  auto whole = Transaction::begin(database());
  if (!whole) return whole.error();
  const auto id = inserted_id<RecordingId>(database().query(
      "INSERT INTO recording (name, started_utc, site, note) VALUES (?, ?, ?, ?) RETURNING id",
      recording.name, recording.started_utc, recording.site, recording.note));
  if (!id) return id.error();
  std::size_t number = 0;
  for (const LinkRecord& link : recording.links) {
    const auto done = database().change("INSERT INTO link VALUES (?, ?, ?, ?, ?)", id.value(),
                                        number++, link.name, link.source, link.sensor);
    if (!done) return done.error();
  }
  if (auto done = whole.value().commit(); !done) return done.error();
  return id;
}

Result<std::size_t> Book::append(RecordingId recording, const Stretch& stretch) {
  const auto id = static_cast<std::int64_t>(recording);
  auto whole = Transaction::begin(database());
  if (!whole) return whole.error();
  if (auto known = check_known(database(), "recording", id); !known) return known.error();
  const auto before = all_rows<std::pair<std::size_t, double>>(
      database().query("SELECT number, until_s FROM stretch WHERE recording = ? "
                       "ORDER BY number DESC LIMIT 1",
                       id),
      [](const Statement& row) {
        return std::pair{static_cast<std::size_t>(row.integer(0)), row.real(1)};
      });
  if (!before) return before.error();
  const bool first = before.value().empty();
  if (!(stretch.until_s >= stretch.from_s) ||
      (!first && !(stretch.from_s >= before.value()[0].second))) {
    return refused(database(),
                   first ? fmt::format("a stretch from {} to {} s", stretch.from_s, stretch.until_s)
                         : fmt::format("a stretch from {} to {} s after one until {} s",
                                       stretch.from_s, stretch.until_s, before.value()[0].second),
                   "times that go forward: a recording has one monotonic clock");
  }
  const std::size_t number = first ? 0 : before.value()[0].first + 1;
  if (auto done = database().change("INSERT INTO stretch VALUES (?, ?, ?, ?)", id, number,
                                    stretch.from_s, stretch.until_s);
      !done) {
    return done.error();
  }
  for (const LinkBytes& link : stretch.links) {
    if (auto done = add_chunk(database(), id, number, link); !done) return done.error();
  }
  if (auto done = whole.value().commit(); !done) return done.error();
  return number;
}

Result<Done> Book::end_recording(RecordingId recording, double ended_s) {
  const auto id = static_cast<std::int64_t>(recording);
  if (auto known = check_known(database(), "recording", id); !known) return known;
  return database().change("UPDATE recording SET ended_s = ? WHERE id = ?", ended_s, id);
}

Result<std::vector<RecordingRecord>> Book::recordings() const {
  return all_rows<RecordingRecord>(
      database().query(std::string{kRecordings} + "ORDER BY id"),
      [this](const Statement& row) { return recording_of(row, database()); });
}

Result<RecordingRecord> Book::recording(RecordingId recording) const {
  const auto id = static_cast<std::int64_t>(recording);
  if (auto known = check_known(database(), "recording", id); !known) return known.error();
  auto found = all_rows<RecordingRecord>(
      database().query(std::string{kRecordings} + "WHERE id = ?", id),
      [this](const Statement& row) { return recording_of(row, database()); });
  if (!found) return found.error();
  return std::move(found.value().front());
}

Result<std::optional<double>> Book::complete_until_s(RecordingId recording) const {
  const auto id = static_cast<std::int64_t>(recording);
  if (auto known = check_known(database(), "recording", id); !known) return known.error();
  auto row = database().query("SELECT max(until_s) FROM stretch WHERE recording = ?", id);
  if (!row) return row.error();
  if (const auto there = row.value().step(); !there) return there.error();
  return row.value().optional_real(0);
}

Result<Done> Book::read_stretches(RecordingId recording, std::size_t from_number,
                                  const std::function<bool(const Stretch&)>& each) const {
  const auto id = static_cast<std::int64_t>(recording);
  if (auto known = check_known(database(), "recording", id); !known) return known;
  auto rows = database().query(
      "SELECT number, from_s, until_s FROM stretch WHERE recording = ? "
      "AND number >= ? ORDER BY number",
      id, from_number);
  if (!rows) return rows.error();
  for (;;) {
    const auto row = rows.value().step();
    if (!row) return row.error();
    if (!row.value()) return Done{};
    Stretch stretch{rows.value().real(1), rows.value().real(2), {}};
    auto links = all_rows<LinkBytes>(
        database().query("SELECT link, bytes, pieces, sha256 FROM chunk WHERE recording = ? AND "
                         "stretch = ? ORDER BY link",
                         id, rows.value().integer(0)),
        [&](const Statement& chunk) { return chunk_of(chunk, database(), id, stretch); });
    if (!links) return links.error();
    stretch.links = std::move(links).value();
    if (!each(stretch)) return Done{};
  }
}

}  // namespace qn
