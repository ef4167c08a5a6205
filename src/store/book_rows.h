// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <functional>
#include <string>
#include <variant>
#include <vector>

#include "store/book.h"

namespace qn {

// The tables of a book as they are, for whoever walks all of them: the content hash, the export and
// the import. New tables and columns come along by themselves.

struct RawBytes {
  std::string bytes;
  friend bool operator==(const RawBytes&, const RawBytes&) = default;
};
/// Nothing, a whole number, a number, a text, or bytes.
using BookCell = std::variant<std::monostate, std::int64_t, double, std::string, RawBytes>;

enum class ColumnKind { integer, real, text, bytes };
struct ColumnShape {
  std::string name;
  ColumnKind kind = ColumnKind::text;
  bool may_be_empty = false;  ///< a cell that holds nothing, which is not the same as no letters
};
struct TableShape {
  std::string name;
  std::vector<ColumnShape> columns;
  std::vector<std::string> key;  ///< columns by which its rows are ordered
};

/// All tables, those that others point to first.
Result<std::vector<TableShape>> book_tables(const Book& book);

/// Every row in the order of the key. `each` returns an Error to stop.
Result<Done> for_each_row(const Book& book, const TableShape& table,
                          const std::function<Result<Done>(const std::vector<BookCell>&)>& each);

/// Fills a book that Book::create has just made, all in one: `fill` adds rows by calling what it is
/// given, table by table. When it returns an Error, or when entries point to others that are not
/// there, the book stays as it was.
using AddRow = std::function<Result<Done>(const TableShape&, const std::vector<BookCell>&)>;
Result<Done> fill_book(Book& book, const std::function<Result<Done>(const AddRow&)>& fill);

}  // namespace qn
