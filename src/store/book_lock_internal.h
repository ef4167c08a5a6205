// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <chrono>
#include <string>
#include <utility>

#include "vocab/result.h"

namespace qn {

/// One writer of a book at a time. A lock of the operating system (flock) on `BOOK-lock` beside the
/// book: it ends with the process, however that ends, so nothing needs to be cleaned up after a
/// crash. Not on the book itself: closing any second descriptor of it would end SQLite's own locks.
class BookLock {
 public:
  /// Waits up to `patience`, for commands that hold a book for a blink.
  /// errors  Io, naming the process that has it; or that the folder cannot be written to
  static Result<BookLock> take(const std::string& book_path, std::chrono::milliseconds patience);

  /// Whether some program writes to it just now. A look, never a promise.
  static bool is_held(const std::string& book_path);

  BookLock(BookLock&& other) noexcept
      : file_{std::exchange(other.file_, -1)}, path_{std::move(other.path_)} {}
  BookLock& operator=(BookLock&&) = delete;
  ~BookLock();

 private:
  BookLock(int file, std::string path) : file_{file}, path_{std::move(path)} {}
  int file_;
  std::string path_;
};

}  // namespace qn
