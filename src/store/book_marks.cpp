// SPDX-License-Identifier: Apache-2.0
#include "store/book.h"
#include "store/book_file_internal.h"
#include "store/content_internal.h"

namespace qn {

Result<Done> Book::add_mark(RecordingId recording, const Mark& mark) {
  const auto id = static_cast<std::int64_t>(recording);
  if (auto known = check_known(database(), "recording", id); !known) return known;
  return database().change(
      "INSERT INTO mark SELECT ?1, coalesce(max(number) + 1, 0), ?2, ?3, ?4 FROM mark "
      "WHERE recording = ?1",
      id, mark.time_s, mark.device, mark.state);
}

Result<Done> Book::set_marks(RecordingId recording, const std::vector<Mark>& marks) {
  const auto id = static_cast<std::int64_t>(recording);
  auto whole = Transaction::begin(database());
  if (!whole) return whole.error();
  if (auto known = check_known(database(), "recording", id); !known) return known;
  if (auto done = database().change("DELETE FROM mark WHERE recording = ?", id); !done) return done;
  std::size_t number = 0;
  for (const Mark& mark : marks) {
    const auto done = database().change("INSERT INTO mark VALUES (?, ?, ?, ?, ?)", id, number++,
                                        mark.time_s, mark.device, mark.state);
    if (!done) return done;
  }
  return whole.value().commit();
}

Result<std::vector<Mark>> Book::marks(RecordingId recording) const {
  return all_rows<Mark>(
      database().query("SELECT time_s, device, state FROM mark WHERE recording = ? ORDER BY number",
                       recording),
      [](const Statement& row) {
        return Mark{row.real(0), row.text(1), row.text(2), 0};
      });
}

Result<DecodingId> Book::add_decoding(const DecodingRecord& decoding) {
  auto whole = Transaction::begin(database());
  if (!whole) return whole.error();
  std::optional<std::string> samples;
  if (decoding.samples) {
    auto kept = keep_content(database(), *decoding.samples);
    if (!kept) return kept.error();
    samples = std::move(kept).value();
  }
  const auto id = inserted_id<DecodingId>(database().query(
      "INSERT INTO decoding (recording, link, decoder, decoder_version, settings, made_utc, tally, "
      "samples) VALUES (?, ?, ?, ?, ?, ?, ?, ?) RETURNING id",
      decoding.recording, decoding.link, decoding.decoder, decoding.decoder_version,
      decoding.settings, decoding.made_utc, decoding.tally, samples));
  if (!id) return id.error();
  if (auto done = whole.value().commit(); !done) return done.error();
  return id;
}

Result<std::vector<DecodingRecord>> Book::decodings(RecordingId recording) const {
  return all_rows<DecodingRecord>(
      database().query("SELECT id, link, decoder, decoder_version, settings, made_utc, tally, "
                       "samples FROM decoding WHERE recording = ? ORDER BY id",
                       recording),
      [&](const Statement& row) -> Result<DecodingRecord> {
        DecodingRecord out{DecodingId{row.integer(0)},
                           recording,
                           static_cast<std::size_t>(row.integer(1)),
                           row.text(2),
                           row.text(3),
                           row.text(4),
                           row.text(5),
                           row.text(6),
                           std::nullopt};
        if (row.is_null(7)) return out;
        auto samples = content(row.text(7));
        if (!samples) return samples.error();
        out.samples = std::move(samples).value();
        return out;
      });
}

}  // namespace qn
