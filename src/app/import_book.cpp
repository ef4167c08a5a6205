// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <charconv>
#include <filesystem>
#include <map>
#include <nlohmann/json.hpp>

#include "app/book_folder_internal.h"
#include "app/codec_equipment.h"
#include "app/export_book.h"
#include "app/read_text_file.h"
#include "store/book_rows.h"
#include "store/chunk.h"

namespace qn {
namespace {

namespace fs = std::filesystem;
using Cells = std::vector<BookCell>;

Error bad(const std::string& where, std::string what, std::string expected) {
  return {ErrorKind::BadInput, std::move(what), where, std::move(expected),
          "put it back as it was exported, or export the book again; nothing was written"};
}

template <class Number>
Result<Number> number_in(const std::string& text, const std::string& where) {
  Number value{};
  const auto [end, trouble] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (trouble != std::errc{} || end != text.data() + text.size()) {
    return bad(where, fmt::format("'{}' is not a number", text), "a number, in digits");
  }
  return value;
}

struct FolderHead {
  BookHead head;
  std::string content_sha256;
};

Result<FolderHead> read_head(const std::string& folder) {
  const auto text = read_text_file((fs::path{folder} / "book.json").string());
  if (!text) return text.error();
  const auto document = nlohmann::json::parse(text.value(), nullptr, false);
  const auto word = [&](const char* key) {
    const auto found = document.find(key);
    return found != document.end() && found->is_string() ? found->get<std::string>() : "";
  };
  if (!document.is_object() || word("schema") != kBookFolderSchema) {
    return bad("book.json", "this is not the head of an exported book",
               fmt::format("a JSON object with \"schema\": \"{}\"", kBookFolderSchema));
  }
  return FolderHead{{word("aircraft"), word("created_utc"), word("note")}, word("content_sha256")};
}

Result<BookCell> cell_of(const ColumnShape& column, const std::string& text,
                         const TableReader& rows, std::size_t at) {
  if (text.empty() && column.may_be_empty) return BookCell{};
  if (column.kind == ColumnKind::integer) {
    const auto value = number_in<std::int64_t>(text, rows.place(at));
    if (!value) return value.error();
    return BookCell{value.value()};
  }
  if (column.kind == ColumnKind::real) {
    const auto value = number_in<double>(text, rows.place(at));
    if (!value) return value.error();
    return BookCell{value.value()};
  }
  return BookCell{text};
}

/// A file that a cell names; only inside the folder.
Result<std::string> named_file(const std::string& folder, const std::string& name,
                               const std::string& where) {
  const fs::path path = fs::path{name}.lexically_normal();
  if (path.is_absolute() || path.empty() || *path.begin() == "..") {
    return bad(where, fmt::format("'{}' lies outside the folder", name), "a file of the folder");
  }
  return read_text_file((fs::path{folder} / path).string());
}

class Import {
 public:
  Import(std::string folder, const AddRow& add) : folder_{std::move(folder)}, add_{add} {}

  Result<Done> table(const TableShape& table) {
    if (table.name == "chunk") return chunks(table);
    std::vector<std::string> names;
    for (const ColumnShape& column : table.columns) names.push_back(column.name);
    TableReader rows{folder_, table.name, names};
    for (;;) {
      const auto row = rows.next();
      if (!row) return row.error();
      if (!row.value()) return Done{};
      auto cells =
          table.name == "content" ? content(*row.value(), rows) : plain(table, *row.value(), rows);
      if (!cells) return cells.error();
      if (auto done = add_(table, cells.value()); !done) return at_place(done.error(), rows);
    }
  }

 private:
  static Error at_place(Error error, const TableReader& rows) {
    if (error.kind == ErrorKind::BadInput) error.where = rows.place();
    return error;
  }

  Result<Cells> plain(const TableShape& table, const std::vector<std::string>& texts,
                      const TableReader& rows) {
    Cells cells;
    for (std::size_t i = 0; i < texts.size(); ++i) {
      auto cell = cell_of(table.columns[i], texts[i], rows, i);
      if (!cell) return cell.error();
      if (table.name == "finding" && table.columns[i].name == "result") {
        auto result = named_file(folder_, texts[i], rows.place(i));
        if (!result) return result.error();
        cell = BookCell{std::move(result).value()};
      }
      cells.push_back(std::move(cell).value());
    }
    return cells;
  }

  Result<Cells> content(const std::vector<std::string>& texts, const TableReader& rows) {
    auto bytes = named_file(folder_, "files/" + texts[0], rows.place(0));
    if (!bytes) return bytes.error();
    return Cells{texts[0], RawBytes{std::move(bytes).value()}};
  }

  Result<Done> chunks(const TableShape& table) {
    TableReader rows{
        folder_, "chunk", {"recording", "stretch", "link", "bytes", "pieces", "sha256"}};
    TableReader arrivals{
        folder_, kPiecesTable, {"recording", "stretch", "link", "bytes", "arrival_s"}};
    for (;;) {
      const auto row = rows.next();
      if (!row) return row.error();
      if (!row.value()) break;
      std::vector<std::int64_t> numbers;
      for (std::size_t i = 0; i < 5; ++i) {
        const auto number = number_in<std::int64_t>((*row.value())[i], rows.place(i));
        if (!number) return number.error();
        numbers.push_back(number.value());
      }
      LinkBytes link;
      link.link = static_cast<std::size_t>(numbers[2]);
      const std::vector<std::string> whose{row.value()->begin(), row.value()->begin() + 3};
      if (auto done = take_pieces(arrivals, whose, numbers[4], link); !done) return done;
      if (auto done = take_bytes(rows, whose, numbers[3], link); !done) return done;
      // The hash as it was exported: whether the bytes are still those is for the check to say.
      const auto added = add_(table, {numbers[0], numbers[1], numbers[2], RawBytes{link.bytes},
                                      RawBytes{packed(link.pieces)}, (*row.value())[5]});
      if (!added) return at_place(added.error(), rows);
    }
    const auto left = arrivals.next();
    if (!left) return left.error();
    if (left.value()) return bad(arrivals.place(), "a piece of no chunk", "pieces in their order");
    return Done{};
  }

  static Result<Done> take_pieces(TableReader& arrivals, const std::vector<std::string>& whose,
                                  std::int64_t count, LinkBytes& link) {
    for (std::int64_t i = 0; i < count; ++i) {
      const auto row = arrivals.next();
      if (!row) return row.error();
      if (!row.value() || !std::equal(whose.begin(), whose.end(), row.value()->begin())) {
        return bad(arrivals.place(), "a piece of another chunk, or none",
                   fmt::format("{} pieces of recording {}, stretch {}, link {}", count, whose[0],
                               whose[1], whose[2]));
      }
      const auto bytes = number_in<std::uint32_t>((*row.value())[3], arrivals.place(3));
      if (!bytes) return bytes.error();
      const auto arrival = number_in<double>((*row.value())[4], arrivals.place(4));
      if (!arrival) return arrival.error();
      link.pieces.push_back({bytes.value(), arrival.value()});
    }
    return Done{};
  }

  Result<Done> take_bytes(const TableReader& rows, const std::vector<std::string>& whose,
                          std::int64_t count, LinkBytes& link) {
    const std::string name = fmt::format("raw/{}-{}.bin", whose[0], whose[2]);
    auto& file = raw_[name];
    if (!file.is_open()) file.open((fs::path{folder_} / name).string(), std::ios::binary);
    std::int64_t in_pieces = 0;
    for (const Piece& piece : link.pieces) in_pieces += piece.bytes;
    if (count != in_pieces) {
      return bad(rows.place(), fmt::format("{} bytes in pieces of {}", count, in_pieces),
                 "pieces that add up");
    }
    link.bytes.resize(static_cast<std::size_t>(count));
    file.read(link.bytes.data(), count);
    if (file.gcount() == count) return Done{};
    return bad(name, "the file is missing or shorter than its chunks",
               fmt::format("{} bytes more for {}", count, rows.place()));
  }

  std::string folder_;
  const AddRow& add_;
  std::map<std::string, std::ifstream> raw_;
};

Result<Done> fill(Book& book, const std::string& folder) {
  const auto tables = book_tables(book);
  if (!tables) return tables.error();
  const auto filled = fill_book(book, [&](const AddRow& add) -> Result<Done> {
    Import import{folder, add};
    for (const TableShape& table : tables.value()) {
      if (table.name == "book" || table.name == "device") continue;
      if (auto done = import.table(table); !done) return done;
    }
    return Done{};
  });
  if (!filled) return filled;
  const std::string equipment = (fs::path{folder} / "equipment.csv").string();
  std::error_code trouble;
  if (!fs::exists(equipment, trouble)) return Done{};
  const auto devices = read_equipment(equipment);
  if (!devices) return devices.error();
  return book.set_equipment(devices.value());
}

}  // namespace

Result<ImportedBook> import_book(const std::string& folder, const std::string& path) {
  const auto head = read_head(folder);
  if (!head) return head.error();
  std::error_code trouble;
  if (fs::exists(path, trouble)) {
    return Error{ErrorKind::Io, "there is a file of that name already", path,
                 "a name that is not taken: a book is never written over",
                 "choose another name, or move the old file away first"};
  }
  // Grows in a folder of its own beside its place, and is copied there when it is sound.
  auto growing = NewFolder::at(path + "-import");
  if (!growing) return growing.error();
  auto book = Book::create(growing.value().path("book.qnbook"), head.value().head);
  if (!book) return book.error();
  if (auto done = fill(book.value(), folder); !done) return done.error();
  const auto faults = book.value().check();
  if (!faults) return faults.error();
  if (!faults.value().empty()) {
    const BookFault& first = faults.value().front();
    return Error{
        ErrorKind::Corrupt, fmt::format("{} ({} in all)", first.what, faults.value().size()),
        fmt::format("{}: {}", folder, first.where),
        "raw bytes, kept files and findings as they were exported",
        "export the book again, or take the changed files from a copy; nothing was written"};
  }
  const auto hash = book.value().content_sha256();
  if (!hash) return hash.error();
  if (auto done = book.value().copy_to(path); !done) return done.error();
  return ImportedBook{hash.value() == head.value().content_sha256};
}

}  // namespace qn
