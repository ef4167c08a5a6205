// SPDX-License-Identifier: Apache-2.0
#include "store/book_rows.h"

#include <bit>

#include "store/schema_internal.h"
#include "store/sha256.h"

namespace qn {
namespace {

ColumnKind kind_of(const std::string& type) {
  if (type == "INTEGER") return ColumnKind::integer;
  if (type == "REAL") return ColumnKind::real;
  if (type == "BLOB") return ColumnKind::bytes;
  return ColumnKind::text;
}

BookCell cell_of(const Statement& row, int column) {
  switch (row.type(column)) {
    case SQLITE_INTEGER: return row.integer(column);
    case SQLITE_FLOAT: return row.real(column);
    case SQLITE_TEXT: return row.text(column);
    case SQLITE_BLOB: return RawBytes{row.bytes(column)};
    default: return std::monostate{};
  }
}

std::string listed(const std::vector<std::string>& names) {
  std::string text;
  for (const std::string& name : names) text += (text.empty() ? "" : ", ") + name;
  return text;
}

Result<TableShape> shape_of(const Database& database, const std::string& table) {
  TableShape shape{table, {}, {}};
  const auto columns = all_rows<ColumnShape>(
      database.query("SELECT name, type, \"notnull\" = 0 AND pk = 0 FROM pragma_table_info(?) "
                     "ORDER BY cid",
                     table),
      [](const Statement& row) {
        return ColumnShape{row.text(0), kind_of(row.text(1)), row.integer(2) != 0};
      });
  if (!columns) return columns.error();
  shape.columns = columns.value();
  auto key = all_rows<std::string>(
      database.query("SELECT name FROM pragma_table_info(?) WHERE pk > 0 ORDER BY pk", table),
      [](const Statement& row) { return row.text(0); });
  if (!key) return key.error();
  shape.key = std::move(key).value();
  return shape;
}

void add_cell(Sha256& digest, const BookCell& cell) {
  digest.add_number(cell.index());
  if (const auto* integer = std::get_if<std::int64_t>(&cell)) {
    digest.add_number(static_cast<unsigned long long>(*integer));
  } else if (const auto* real = std::get_if<double>(&cell)) {
    digest.add_number(std::bit_cast<std::uint64_t>(*real));
  } else if (const auto* text = std::get_if<std::string>(&cell)) {
    digest.add_field(*text);
  } else if (const auto* raw = std::get_if<RawBytes>(&cell)) {
    digest.add_field(raw->bytes);
  }
}

Statement& bind_cell(Statement& statement, const BookCell& cell) {
  if (const auto* integer = std::get_if<std::int64_t>(&cell)) return statement.bind(*integer);
  if (const auto* real = std::get_if<double>(&cell)) return statement.bind(*real);
  if (const auto* text = std::get_if<std::string>(&cell)) return statement.bind(*text);
  if (const auto* raw = std::get_if<RawBytes>(&cell)) return statement.bind(Blob{raw->bytes});
  return statement.bind(nullptr);
}

}  // namespace

Result<std::vector<TableShape>> book_tables(const Book& book) {
  std::vector<TableShape> tables;
  for (const std::string& name : table_names()) {
    auto shape = shape_of(book.database(), name);
    if (!shape) return shape.error();
    tables.push_back(std::move(shape).value());
  }
  return tables;
}

Result<Done> for_each_row(const Book& book, const TableShape& table,
                          const std::function<Result<Done>(const std::vector<BookCell>&)>& each) {
  std::vector<std::string> names;
  for (const ColumnShape& column : table.columns) names.push_back(column.name);
  auto rows = book.database().query("SELECT " + listed(names) + " FROM " + table.name +
                                    " ORDER BY " + listed(table.key));
  if (!rows) return rows.error();
  std::vector<BookCell> cells(names.size());
  for (;;) {
    const auto row = rows.value().step();
    if (!row) return row.error();
    if (!row.value()) return Done{};
    for (std::size_t i = 0; i < cells.size(); ++i) {
      cells[i] = cell_of(rows.value(), static_cast<int>(i));
    }
    if (auto done = each(cells); !done) return done;
  }
}

Result<Done> fill_book(Book& book, const std::function<Result<Done>(const AddRow&)>& fill) {
  auto whole = Transaction::begin(book.database());
  if (!whole) return whole.error();
  // Only the whole can be judged: what a row points to may come later.
  if (auto done = book.database().run("PRAGMA defer_foreign_keys = ON"); !done) return done;
  const AddRow add = [&book](const TableShape& table,
                             const std::vector<BookCell>& cells) -> Result<Done> {
    std::string marks;
    for (std::size_t i = 0; i < cells.size(); ++i) marks += i == 0 ? "?" : ", ?";
    // The head stands there already, as it was made.
    auto statement =
        book.database().prepare("REPLACE INTO " + table.name + " VALUES (" + marks + ")");
    if (!statement) return statement.error();
    for (const BookCell& cell : cells) bind_cell(statement.value(), cell);
    return statement.value().run();
  };
  if (auto done = fill(add); !done) return done;
  return whole.value().commit();
}

Result<std::string> Book::content_sha256() const {
  Sha256 digest;
  const auto tables = book_tables(*this);
  if (!tables) return tables.error();
  for (const TableShape& table : tables.value()) {
    digest.add_field(table.name);
    for (const ColumnShape& column : table.columns) digest.add_field(column.name);
    const auto walked = for_each_row(*this, table, [&](const std::vector<BookCell>& cells) {
      digest.add_number(1);
      for (const BookCell& cell : cells) add_cell(digest, cell);
      return Result<Done>{Done{}};
    });
    if (!walked) return walked.error();
    digest.add_number(0);
  }
  return digest.hex();
}

}  // namespace qn
