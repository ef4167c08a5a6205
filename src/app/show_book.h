// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "store/book.h"

namespace qn {

struct NewBookRequest {
  std::string path;
  std::string aircraft;
  std::optional<std::string> equipment_path;
  std::string note;
};

/// A new book with its equipment, if that is at hand already. The list is read first: when it
/// cannot be, no book is made.
/// errors  OutOfRange naming --aircraft; those of the equipment list and of Book::create
Result<Done> make_book(const NewBookRequest& request);

/// What a book holds, without the bytes.
struct BookSummary {
  std::string name;  ///< of the file, without folder
  BookHead head;
  std::vector<Device> equipment;
  std::vector<SensorRecord> sensors;
  std::vector<SiteRecord> sites;
  std::vector<RecordingRecord> recordings;
  std::vector<RunRecord> runs;
  std::vector<FindingRecord> findings;
  std::string content_sha256;
  std::vector<std::string> remarks;  ///< of the opening
};
Result<BookSummary> show_book(const std::string& path);

struct BookCheck {
  std::string name;
  std::vector<BookFault> faults;
  std::vector<std::string> remarks;
};
/// errors  only when there is no book to check; what is wrong with it is the answer
Result<BookCheck> check_book(const std::string& path);

/// Documents quietnorth/book/1 and quietnorth/book-check/1 (docs/formats/aircraft-book.md).
std::string to_json(const BookSummary& book);
std::string to_json(const BookCheck& check);

/// Puts the list of a file into the book; what it read.
Result<std::vector<Device>> set_book_equipment(const std::string& path, const std::string& list);

}  // namespace qn
