// SPDX-License-Identifier: Apache-2.0
#include "app/export_book.h"

#include <fmt/format.h>

#include <map>
#include <nlohmann/json.hpp>

#include "app/book_folder_internal.h"
#include "app/codec_equipment.h"
#include "app/version.h"
#include "store/book_rows.h"
#include "store/chunk.h"

namespace qn {
namespace {

using Cells = std::vector<BookCell>;

std::string cell_text(const BookCell& cell) {
  if (const auto* integer = std::get_if<std::int64_t>(&cell)) return fmt::format("{}", *integer);
  if (const auto* real = std::get_if<double>(&cell)) return fmt::format("{}", *real);
  if (const auto* text = std::get_if<std::string>(&cell)) return *text;
  return "";
}

std::vector<std::string> names_of(const TableShape& table) {
  std::vector<std::string> names;
  for (const ColumnShape& column : table.columns) names.push_back(column.name);
  return names;
}

Result<Done> write_head(const Book& book, const NewFolder& folder) {
  const auto head = book.head();
  if (!head) return head.error();
  const auto hash = book.content_sha256();
  if (!hash) return hash.error();
  const nlohmann::ordered_json document = {{"schema", kBookFolderSchema},
                                           {"aircraft", head.value().aircraft},
                                           {"created_utc", head.value().created_utc},
                                           {"note", head.value().note},
                                           {"program_version", program_version()},
                                           {"content_sha256", hash.value()}};
  return folder.write("book.json", document.dump(2) + "\n");
}

Result<Done> write_equipment(const Book& book, const NewFolder& folder) {
  const auto equipment = book.equipment();
  if (!equipment) return equipment.error();
  if (equipment.value().empty()) return Done{};
  return folder.write("equipment.csv", equipment_csv(equipment.value()));
}

/// A result is a document of its own, for which a cell is no place.
Result<Done> write_findings(const Book& book, const TableShape& table, const NewFolder& folder) {
  TableWriter rows{folder, table.name, names_of(table)};
  const auto walked = for_each_row(book, table, [&](const Cells& cells) -> Result<Done> {
    std::vector<std::string> texts;
    for (std::size_t i = 0; i < cells.size(); ++i) {
      if (table.columns[i].name != "result") {
        texts.push_back(cell_text(cells[i]));
        continue;
      }
      texts.push_back(fmt::format("results/{}.json", cell_text(cells[0])));
      if (auto done = folder.write(texts.back(), cell_text(cells[i])); !done) return done;
    }
    rows.add(texts);
    return Done{};
  });
  if (!walked) return walked;
  return rows.close();
}

Result<Done> write_contents(const Book& book, const TableShape& table, const NewFolder& folder) {
  TableWriter rows{folder, table.name, {"sha256", "bytes"}};
  const auto walked = for_each_row(book, table, [&](const Cells& cells) {
    const std::string& bytes = std::get<RawBytes>(cells[1]).bytes;
    rows.add({cell_text(cells[0]), fmt::format("{}", bytes.size())});
    return folder.write("files/" + cell_text(cells[0]), bytes);
  });
  if (!walked) return walked;
  return rows.close();
}

/// The bytes of each link of each recording in one file, as they came; where each stretch ends in
/// it, and when each piece came, in tables beside it.
Result<Done> write_raw(const Book& book, const NewFolder& folder) {
  TableWriter chunks{
      folder, "chunk", {"recording", "stretch", "link", "bytes", "pieces", "sha256"}};
  TableWriter pieces{folder, kPiecesTable, {"recording", "stretch", "link", "bytes", "arrival_s"}};
  const auto recordings = book.recordings();
  if (!recordings) return recordings.error();
  for (const RecordingRecord& recording : recordings.value()) {
    std::map<std::size_t, std::ofstream> files;
    std::size_t number = 0;
    std::optional<Error> failed;
    const std::string id = fmt::format("{}", static_cast<std::int64_t>(recording.id));
    const auto walked = book.read_stretches(recording.id, 0, [&](const Stretch& stretch) {
      const std::string place = fmt::format("{}", number++);
      for (const LinkBytes& link : stretch.links) {
        const std::string which = fmt::format("{}", link.link);
        auto sha256 = chunk_sha256(link.bytes, packed(link.pieces));
        if (!sha256) failed = sha256.error();
        if (!sha256) return false;
        chunks.add({id, place, which, fmt::format("{}", link.bytes.size()),
                    fmt::format("{}", link.pieces.size()), sha256.value()});
        for (const Piece& piece : link.pieces) {
          pieces.add({id, place, which, fmt::format("{}", piece.bytes),
                      fmt::format("{}", piece.arrival_s)});
        }
        auto& file = files[link.link];
        if (!file.is_open()) {
          file.open(folder.path(fmt::format("raw/{}-{}.bin", id, which)), std::ios::binary);
        }
        file.write(link.bytes.data(), static_cast<std::streamsize>(link.bytes.size()));
      }
      return true;
    });
    if (failed || !walked) return failed ? *failed : walked.error();
    for (auto& [link, file] : files) {
      file.close();
      if (!file) return folder.not_written();
    }
  }
  if (auto done = chunks.close(); !done) return done;
  return pieces.close();
}

Result<Done> write_table(const Book& book, const TableShape& table, const NewFolder& folder) {
  TableWriter rows{folder, table.name, names_of(table)};
  const auto walked = for_each_row(book, table, [&](const Cells& cells) -> Result<Done> {
    std::vector<std::string> texts;
    for (const BookCell& cell : cells) texts.push_back(cell_text(cell));
    rows.add(texts);
    return Done{};
  });
  if (!walked) return walked;
  return rows.close();
}

}  // namespace

Result<Done> export_book(const Book& book, const std::string& place) {
  auto folder = NewFolder::at(place);
  if (!folder) return folder.error();
  const NewFolder& in = folder.value();
  const auto tables = book_tables(book);
  if (!tables) return tables.error();
  for (const TableShape& table : tables.value()) {
    const auto written = table.name == "book"      ? write_head(book, in)
                         : table.name == "device"  ? write_equipment(book, in)
                         : table.name == "chunk"   ? write_raw(book, in)
                         : table.name == "content" ? write_contents(book, table, in)
                         : table.name == "finding" ? write_findings(book, table, in)
                                                   : write_table(book, table, in);
    if (!written) return written;
  }
  return folder.value().publish();
}

}  // namespace qn
