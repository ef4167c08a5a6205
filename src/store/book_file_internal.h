// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "store/book_lock_internal.h"
#include "store/sqlite_internal.h"

namespace qn {

/// A folder for a copy that is read in place of the book, gone with its contents.
class ScratchCopy {
 public:
  /// The book and its write-ahead log.
  static Result<ScratchCopy> of(const std::string& book_path);
  ScratchCopy(ScratchCopy&& other) noexcept : folder_{std::move(other.folder_)} {
    other.folder_.clear();
  }
  ScratchCopy& operator=(ScratchCopy&&) = delete;
  ~ScratchCopy();
  std::string book() const;

 private:
  explicit ScratchCopy(std::string folder) : folder_{std::move(folder)} {}
  std::string folder_;
};

/// An open book. Members end in the opposite order: the connection first, the lock last.
class BookFile {
 public:
  static Result<std::unique_ptr<BookFile>> to_write(const std::string& path,
                                                    std::chrono::milliseconds patience);
  static Result<std::unique_ptr<BookFile>> to_read(const std::string& path);

  std::string path;
  std::vector<std::string> remarks;
  std::optional<BookLock> lock;
  std::optional<ScratchCopy> scratch;
  std::unique_ptr<Database> database;
};

/// errors  BadInput when no row of `table` has that id
Result<Done> check_known(const Database& database, const char* table, std::int64_t id);

}  // namespace qn
