// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <chrono>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "store/book_records.h"
#include "vocab/equipment.h"
#include "vocab/mark.h"
#include "vocab/result.h"

namespace qn {

class Database;
class BookFile;

/// How long a command waits for another one that is just finishing.
inline constexpr std::chrono::milliseconds kBookPatience{2000};

/// One damaged or missing thing that a check found.
struct BookFault {
  std::string what, where;
};

/// The aircraft book: the file that holds one aircraft (docs/formats/aircraft-book.md).
///
/// Whatever changes the book returns only when the disk has it: a value returned is an
/// acknowledgement, and what is acknowledged is there after kill -9, a full disk or a power cut.
/// What returned an Error changed nothing.
///
/// threads  one call at a time
/// errors   of every call: Io (disk full or failing, not writable), Corrupt (damaged),
///          BadInput (an id that is not there, a text that is no UTF-8, a number not finite)
class Book {
 public:
  /// A new book, which appears whole or not at all, with this head and nothing else.
  /// errors  Io: something of that name is there already; the folder cannot be written to
  static Result<Book> create(const std::string& path, const BookHead& head);
  /// To write. One program at a time; a book of an earlier version is brought up to the present.
  /// errors  BadInput: missing, no book, of a newer version. Io: another program writes to it
  ///         (says which), or it cannot be written to
  static Result<Book> open(const std::string& path,
                           std::chrono::milliseconds patience = kBookPatience);
  /// To read; beside a writer, on a write-protected medium, of an earlier version. The file is not
  /// changed, but that leftovers of a crash are joined into it where it can be written to.
  static Result<Book> open_read_only(const std::string& path);

  Book(Book&&) noexcept;
  Book& operator=(Book&&) noexcept;
  ~Book();

  const std::string& path() const;
  /// What there is to say about the opening: leftovers of a crash, a version brought up.
  const std::vector<std::string>& remarks() const;

  Result<BookHead> head() const;
  Result<Done> set_head(const BookHead& head);
  Result<std::vector<Device>> equipment() const;
  Result<Done> set_equipment(const std::vector<Device>& equipment);
  /// Adds it, or replaces the one of that name; the id stays.
  Result<SensorId> put_sensor(const SensorRecord& sensor);
  Result<std::vector<SensorRecord>> sensors() const;
  Result<SiteId> put_site(const SiteRecord& site);
  Result<std::vector<SiteRecord>> sites() const;

  Result<RecordingId> start_recording(const NewRecording& recording);
  /// Adds what came since; the number of the stretch, from 0.
  /// errors  BadInput: it begins before the last one ended, no such link, pieces that do not add up
  Result<std::size_t> append(RecordingId recording, const Stretch& stretch);
  Result<Done> end_recording(RecordingId recording, double ended_s);
  Result<std::vector<RecordingRecord>> recordings() const;
  Result<RecordingRecord> recording(RecordingId id) const;
  /// Until when nothing that came is missing; nothing when nothing was acknowledged. The last
  /// complete second is this, rounded down.
  Result<std::optional<double>> complete_until_s(RecordingId recording) const;
  /// In order, from that number on. `each` returns false to stop.
  /// errors  Corrupt, naming the stretch, when the bytes are not those of their hash
  Result<Done> read_stretches(RecordingId recording, std::size_t from_number,
                              const std::function<bool(const Stretch&)>& each) const;

  Result<DecodingId> add_decoding(const DecodingRecord& decoding);
  Result<std::vector<DecodingRecord>> decodings(RecordingId recording) const;
  Result<Done> add_mark(RecordingId recording, const Mark& mark);
  Result<Done> set_marks(RecordingId recording, const std::vector<Mark>& marks);
  Result<std::vector<Mark>> marks(RecordingId recording) const;

  Result<RunId> start_run(const NewRun& run);
  /// Adds to the journal; the number of the event, from 0. With a key that the run has already the
  /// number of that one, and nothing is added.
  Result<std::size_t> append_event(RunId run, const RunEvent& event);
  Result<std::vector<RunEvent>> events(RunId run) const;
  Result<Done> end_run(RunId run, double ended_s);
  Result<std::vector<RunRecord>> runs() const;

  /// Whole or not at all.
  Result<FindingId> add_finding(const NewFinding& finding);
  Result<std::vector<FindingRecord>> findings() const;
  /// Bytes of an input or of decoded samples. errors  BadInput when the book holds none such
  Result<std::string> content(const std::string& sha256) const;

  /// SQLite's own check, foreign keys, and every hash. Empty: nothing is wrong.
  Result<std::vector<BookFault>> check() const;
  /// The same for books with the same content, however they came by it: SHA-256 over every table,
  /// row and value in order. This is what `equal` means for two books.
  Result<std::string> content_sha256() const;
  /// A copy that is a book of its own, consistent even while another program writes; appears whole
  /// or not at all.
  Result<Done> copy_to(const std::string& path) const;

  /// For the neighbours that walk all tables (book_rows.h).
  const Database& database() const;
  Database& database();

 private:
  explicit Book(std::unique_ptr<BookFile> file);
  std::unique_ptr<BookFile> file_;
};

}  // namespace qn
