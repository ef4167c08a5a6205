// SPDX-License-Identifier: Apache-2.0
#include <filesystem>
#include <system_error>

#include "store/book_file_internal.h"
#include "store/schema_internal.h"

namespace qn {
namespace {

namespace fs = std::filesystem;

/// The real path, so that two names of one book meet at one lock.
Result<std::string> existing_file(const std::string& path) {
  std::error_code trouble;
  const auto status = fs::status(path, trouble);
  const auto refused = [&](const char* what) {
    return Error{ErrorKind::BadInput, what, path.empty() ? "''" : path,
                 "the path of an aircraft book (NAME.qnbook)",
                 "check the name; a new book is made with `quietnorth book new`"};
  };
  if (status.type() == fs::file_type::not_found) return refused("there is no such book");
  if (status.type() == fs::file_type::directory) {
    return refused("this is a folder, not a book (`quietnorth book import` reads an export)");
  }
  if (trouble || status.type() != fs::file_type::regular) return refused("this is no plain file");
  const auto real = fs::canonical(path, trouble);
  return trouble ? path : real.string();
}

std::uintmax_t log_size(const std::string& path) {
  std::error_code trouble;
  const auto size = fs::file_size(path + "-wal", trouble);
  return trouble ? 0 : size;
}

// A path as SQLite's URI form wants it (RFC 3986): only what can mean nothing else stays.
std::string uri_of(const std::string& path, const char* query) {
  constexpr std::string_view kPlain =
      "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-._~/";
  constexpr std::string_view kDigits = "0123456789ABCDEF";
  std::string uri = "file:";
  for (const char c : path) {
    const auto byte = static_cast<unsigned char>(c);
    if (kPlain.find(c) != std::string_view::npos) {
      uri += c;
    } else {
      uri += {'%', kDigits[byte >> 4U], kDigits[byte & 0xfU]};
    }
  }
  return uri + "?" + query;
}

Result<Done> set_up_writing(Database& database) {
  for (const char* pragma :
       {"PRAGMA foreign_keys = ON", "PRAGMA journal_mode = WAL", "PRAGMA synchronous = FULL"}) {
    if (auto done = database.run(pragma); !done) return done;
  }
  return Done{};
}

std::string leftover_words(const char* then) {
  return std::string{
             "The program that wrote last did not end properly; what it had acknowledged "} +
         then;
}

/// What keeps an ordinary opening from reading: a medium on which SQLite cannot put its own files.
bool may_be_write_protected(int code) {
  switch (code & 0xff) {
    case SQLITE_CANTOPEN:
    case SQLITE_READONLY:
    case SQLITE_PERM:
    case SQLITE_IOERR:
    case SQLITE_FULL: return true;
    default: return false;
  }
}

/// The book where SQLite cannot write beside it. Its own way for that leaves the write-ahead log
/// out of account, so a book with leftovers is read from a copy.
Result<Done> open_protected(const std::string& real, BookFile& out) {
  if (log_size(real) == 0) {
    auto database = Database::open(uri_of(real, "immutable=1"), out.path,
                                   SQLITE_OPEN_READONLY | SQLITE_OPEN_URI);
    if (!database) return database.error();
    out.database = std::move(database).value();
    return Done{};
  }
  if (BookLock::is_held(real)) {
    return Error{ErrorKind::Io,
                 "another program is writing to this book, and it cannot be read "
                 "beside it from here",
                 out.path, "a folder that you may write to, or no writer",
                 "wait for the other program to end, then try again"};
  }
  auto scratch = ScratchCopy::of(real);
  if (!scratch) return scratch.error();
  auto database = Database::open(scratch.value().book(), out.path, SQLITE_OPEN_READWRITE);
  if (!database) return database.error();
  out.scratch.emplace(std::move(scratch).value());
  out.database = std::move(database).value();
  out.remarks.push_back(leftover_words(
      "is read from a copy, since nothing can be written beside the book. Keep the file that ends "
      "in -wal with the book."));
  return Done{};
}

/// A book of an earlier version is not changed by reading it: a copy is brought up.
Result<Done> bring_up_copy(BookFile& out, int version) {
  auto copy = Database::open("", out.path, SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE);
  if (!copy) return copy.error();
  if (auto done = out.database->copy_into(*copy.value()); !done) return done;
  if (auto done = migrate(*copy.value(), version); !done) return done;
  out.database = std::move(copy).value();
  out.remarks.push_back("The book is of version " + std::to_string(version) +
                        " and is shown as one of version " + std::to_string(kBookVersion) +
                        "; the file itself is as it was.");
  return Done{};
}

}  // namespace

Result<ScratchCopy> ScratchCopy::of(const std::string& book_path) {
  std::error_code trouble;
  std::string pattern = (fs::temp_directory_path(trouble) / "qnbook-XXXXXX").string();
  const char* const made = ::mkdtemp(pattern.data());
  if (made == nullptr) {
    return Error{ErrorKind::Io,
                 "the book holds leftovers of a crash, and no copy can be made to "
                 "read them",
                 pattern, "a folder for temporary files (TMPDIR) that can be written to",
                 "make room there, or copy the book and its -wal file to a place of your own"};
  }
  ScratchCopy copy{made};
  fs::copy_file(book_path, copy.book(), trouble);
  if (!trouble) fs::copy_file(book_path + "-wal", copy.book() + "-wal", trouble);
  // The copies must be open to us even where the originals were not.
  constexpr auto kOurs = fs::perms::owner_read | fs::perms::owner_write;
  std::error_code ignored;
  for (const std::string& file : {copy.book(), copy.book() + "-wal"}) {
    fs::permissions(file, kOurs, ignored);
  }
  if (trouble) {
    return Error{ErrorKind::Io, "the book cannot be copied to read it: " + trouble.message(),
                 book_path, "room for a copy in the folder for temporary files (TMPDIR)",
                 "make room there, or copy the book and its -wal file to a place of your own"};
  }
  return copy;
}

ScratchCopy::~ScratchCopy() {
  if (folder_.empty()) return;
  std::error_code ignored;
  fs::remove_all(folder_, ignored);
}

std::string ScratchCopy::book() const { return folder_ + "/copy.qnbook"; }

Result<std::unique_ptr<BookFile>> BookFile::to_write(const std::string& path,
                                                     std::chrono::milliseconds patience) {
  const auto real = existing_file(path);
  if (!real) return real.error();
  auto file = std::make_unique<BookFile>();
  file->path = path;
  auto lock = BookLock::take(real.value(), patience);
  if (!lock) {
    Error held = lock.error();
    held.where = path;  // as it was given
    return held;
  }
  file->lock.emplace(std::move(lock).value());
  if (log_size(real.value()) != 0) file->remarks.push_back(leftover_words("is in the book."));
  auto database = Database::open(real.value(), path, SQLITE_OPEN_READWRITE);
  if (!database) return database.error();
  file->database = std::move(database).value();
  const auto version = book_version(*file->database);
  if (!version) return version.error();
  if (auto done = migrate(*file->database, version.value()); !done) return done.error();
  if (version.value() < kBookVersion) {
    file->remarks.push_back("The book was of version " + std::to_string(version.value()) +
                            " and is now of version " + std::to_string(kBookVersion) +
                            "; older programs do not read it any more.");
  }
  if (auto done = set_up_writing(*file->database); !done) return done.error();
  return file;
}

Result<std::unique_ptr<BookFile>> BookFile::to_read(const std::string& path) {
  const auto real = existing_file(path);
  if (!real) return real.error();
  auto file = std::make_unique<BookFile>();
  file->path = path;
  const bool leftovers = log_size(real.value()) != 0 && !BookLock::is_held(real.value());
  // Opened to write where that is allowed: only so can SQLite take part in the locking of a book
  // that another program writes to, and clear up behind itself.
  auto database = Database::open(real.value(), path, SQLITE_OPEN_READWRITE);
  int code = SQLITE_CANTOPEN;
  Result<int> version = 0;
  if (database) {
    file->database = std::move(database).value();
    version = book_version(*file->database);
    code = file->database->last_code();
  } else {
    version = database.error();
  }
  if (!version && may_be_write_protected(code)) {
    file->database.reset();
    if (auto done = open_protected(real.value(), *file); !done) return done.error();
    version = book_version(*file->database);
  } else if (leftovers) {
    file->remarks.push_back(leftover_words("is in the book."));
  }
  if (!version) return version.error();
  if (version.value() < kBookVersion) {
    if (auto done = bring_up_copy(*file, version.value()); !done) return done.error();
  }
  if (auto done = file->database->run("PRAGMA query_only = ON"); !done) return done.error();
  return file;
}

Result<Done> check_known(const Database& database, const char* table, std::int64_t id) {
  const auto found =
      database.number(std::string{"SELECT count(*) FROM "} + table + " WHERE id = ?", id);
  if (!found) return found.error();
  if (found.value().value_or(0) == 1) return Done{};
  return Error{ErrorKind::BadInput,
               std::string{"the book has no "} + table + " number " + std::to_string(id),
               database.name(), std::string{"a "} + table + " of this book",
               "`quietnorth book show` lists what there is"};
}

}  // namespace qn
