// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <fstream>
#include <optional>
#include <string>
#include <vector>

#include "acquire/csv_table.h"
#include "vocab/result.h"

// The files of an exported book (docs/formats/book-folder.md): what both the export and the import
// need to know.
namespace qn {

inline constexpr const char* kBookFolderSchema = "quietnorth/book-folder/1";
inline constexpr const char* kPiecesTable = "piece";

/// The folder in which an export grows: hidden beside its place, which it takes when it is whole.
class NewFolder {
 public:
  /// errors  Io: the place is taken, or its folder cannot be written to
  static Result<NewFolder> at(const std::string& place);
  NewFolder(NewFolder&& other) noexcept;
  NewFolder& operator=(NewFolder&&) = delete;
  ~NewFolder();

  /// Where a file is written; its folder is made.
  std::string path(const std::string& name) const;
  /// errors  Io when the bytes cannot be written
  Result<Done> write(const std::string& name, const std::string& bytes) const;
  /// That something in it could not be written, for whoever writes by itself.
  Error not_written() const;
  Result<Done> publish();

 private:
  NewFolder(std::string place, std::string partial);
  std::string place_, partial_;
};

/// A table as CSV, continued in NAME-2.csv and so on, so that no part is too large for a reader.
class TableWriter {
 public:
  TableWriter(const NewFolder& folder, std::string name, const std::vector<std::string>& header);
  void add(const std::vector<std::string>& cells);
  /// errors  Io when anything could not be written
  Result<Done> close();

 private:
  void open();
  const NewFolder& folder_;
  std::string name_, header_;
  std::ofstream file_;
  std::size_t part_ = 0, written_ = 0;
  bool good_ = true;
};

/// The rows of such a table, part after part. A table without a file has no rows.
class TableReader {
 public:
  TableReader(std::string folder, std::string name, std::vector<std::string> columns);
  /// The cells of the columns asked for, in that order; nothing at the end.
  /// errors  BadInput naming file and line
  Result<std::optional<std::vector<std::string>>> next();
  /// "chunk-2.csv, line 9": of the row that came last.
  std::string place() const;
  std::string place(std::size_t column) const;

 private:
  Result<bool> open_next();
  std::string folder_, name_;
  std::vector<std::string> columns_;
  std::vector<std::size_t> at_;
  std::optional<CsvTable> table_;
  std::size_t part_ = 0, row_ = 0;
};

}  // namespace qn
