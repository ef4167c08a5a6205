// SPDX-License-Identifier: Apache-2.0
#include "store/book.h"

#include <utility>

#include "store/book_file_internal.h"
#include "store/new_file_internal.h"
#include "store/schema_internal.h"

namespace qn {

Book::Book(std::unique_ptr<BookFile> file) : file_{std::move(file)} {}
Book::Book(Book&&) noexcept = default;
Book& Book::operator=(Book&&) noexcept = default;
Book::~Book() = default;

Result<Book> Book::create(const std::string& path, const BookHead& head) {
  auto file = NewFile::at(path);
  if (!file) return file.error();
  {
    auto database =
        Database::open(file.value().partial(), path, SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE);
    if (!database) return database.error();
    if (auto done = migrate(*database.value(), 0); !done) return done.error();
    if (auto done = database.value()->change("INSERT INTO book VALUES (1, ?, ?, ?)", head.aircraft,
                                             head.created_utc, head.note);
        !done) {
      return done.error();
    }
  }
  if (auto done = file.value().publish(); !done) return done.error();
  return open(path);
}

Result<Book> Book::open(const std::string& path, std::chrono::milliseconds patience) {
  auto file = BookFile::to_write(path, patience);
  if (!file) return file.error();
  return Book{std::move(file).value()};
}

Result<Book> Book::open_read_only(const std::string& path) {
  auto file = BookFile::to_read(path);
  if (!file) return file.error();
  return Book{std::move(file).value()};
}

const std::string& Book::path() const { return file_->path; }
const std::vector<std::string>& Book::remarks() const { return file_->remarks; }
const Database& Book::database() const { return *file_->database; }
Database& Book::database() { return *file_->database; }

Result<BookHead> Book::head() const {
  auto row = database().query("SELECT aircraft, created_utc, note FROM book");
  if (!row) return row.error();
  const auto there = row.value().step();
  if (!there) return there.error();
  if (!there.value()) {
    return Error{ErrorKind::Corrupt, "the book does not say whose it is", path(),
                 "one line in the table book", "go on with your last copy or export"};
  }
  return BookHead{row.value().text(0), row.value().text(1), row.value().text(2)};
}

Result<Done> Book::set_head(const BookHead& head) {
  return database().change("REPLACE INTO book VALUES (1, ?, ?, ?)", head.aircraft, head.created_utc,
                           head.note);
}

Result<Done> Book::copy_to(const std::string& path) const {
  auto file = NewFile::at(path);
  if (!file) return file.error();
  {
    auto copy =
        Database::open(file.value().partial(), path, SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE);
    if (!copy) return copy.error();
    if (auto done = database().copy_into(*copy.value()); !done) return done;
  }
  return file.value().publish();
}

}  // namespace qn
