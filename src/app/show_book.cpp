// SPDX-License-Identifier: Apache-2.0
#include "app/show_book.h"

#include <filesystem>
#include <system_error>

#include "app/codec_equipment.h"
#include "app/utc_now.h"

namespace qn {
namespace {

std::string file_name(const std::string& path) {
  return std::filesystem::path{path}.filename().string();
}

/// Moves the value out, or keeps the first error.
template <class T>
void take(Result<T> from, T& into, std::optional<Error>& trouble) {
  if (from) {
    into = std::move(from).value();
  } else if (!trouble) {
    trouble = from.error();
  }
}

}  // namespace

Result<Done> make_book(const NewBookRequest& request) {
  if (request.aircraft.find_first_not_of(" \t") == std::string::npos) {
    return Error{ErrorKind::OutOfRange, "the book is given no aircraft", "option --aircraft",
                 "the aircraft's name or registration, as you call it",
                 "for example --aircraft \"Brindle\""};
  }
  std::vector<Device> equipment;
  if (request.equipment_path) {
    auto list = read_equipment(*request.equipment_path);
    if (!list) return list.error();
    equipment = std::move(list).value();
  }
  Result<Done> filled = Done{};
  {
    auto book = Book::create(request.path, {request.aircraft, utc_now(), request.note});
    if (!book) return book.error();
    filled = book.value().set_equipment(equipment);
  }
  std::error_code ignored;
  if (!filled) std::filesystem::remove(request.path, ignored);  // whole or not at all
  return filled;
}

Result<BookSummary> show_book(const std::string& path) {
  const auto book = Book::open_read_only(path);
  if (!book) return book.error();
  BookSummary out;
  out.name = file_name(path);
  out.remarks = book.value().remarks();
  std::optional<Error> trouble;
  take(book.value().head(), out.head, trouble);
  take(book.value().equipment(), out.equipment, trouble);
  take(book.value().sensors(), out.sensors, trouble);
  take(book.value().sites(), out.sites, trouble);
  take(book.value().recordings(), out.recordings, trouble);
  take(book.value().runs(), out.runs, trouble);
  take(book.value().findings(), out.findings, trouble);
  take(book.value().content_sha256(), out.content_sha256, trouble);
  if (trouble) return *trouble;
  return out;
}

Result<BookCheck> check_book(const std::string& path) {
  const auto book = Book::open_read_only(path);
  if (!book && book.error().kind == ErrorKind::Corrupt) {
    return BookCheck{file_name(path), {{book.error().what, "the file"}}, {}};
  }
  if (!book) return book.error();
  auto faults = book.value().check();
  if (!faults) return faults.error();
  return BookCheck{file_name(path), std::move(faults).value(), book.value().remarks()};
}

Result<std::vector<Device>> set_book_equipment(const std::string& path, const std::string& list) {
  auto equipment = read_equipment(list);
  if (!equipment) return equipment.error();
  auto book = Book::open(path);
  if (!book) return book.error();
  if (auto done = book.value().set_equipment(equipment.value()); !done) return done.error();
  return equipment;
}

}  // namespace qn
