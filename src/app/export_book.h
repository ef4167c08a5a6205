// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "store/book.h"

namespace qn {

/// Writes a book as a folder of CSV, JSON and raw files (docs/formats/book-folder.md) that any
/// program can read, and that import_book makes an equal book of. The folder appears whole or not
/// at all; the same book gives the same bytes.
///
/// errors  those of the book; Io when the folder is there already or cannot be written
Result<Done> export_book(const Book& book, const std::string& folder);

struct ImportedBook {
  bool equal = false;  ///< to the book that was exported; no: somebody changed a file since
};

/// Makes a new book of such a folder; it appears whole or not at all.
///
/// errors  BadInput naming file and line; Corrupt when raw bytes, kept files or findings are not
///         those of their hashes; Io
Result<ImportedBook> import_book(const std::string& folder, const std::string& path);

}  // namespace qn
