// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <sqlite3.h>

#include <cstdint>
#include <map>
#include <string>
#include <vector>

namespace qn::test {

/// A file layer under SQLite that passes everything on to the real one, and meanwhile writes down
/// what is written, or says that the disk is full. While an object of it lives, every book opened
/// goes through it. One at a time.
class WatchedFiles {
 public:
  enum class Kind { write, truncate, sync, remove };
  struct Operation {
    Kind kind = Kind::write;
    std::string path;
    std::int64_t offset = 0;  ///< of a write; the new size of a truncate
    std::string bytes;
  };

  WatchedFiles();
  ~WatchedFiles();
  WatchedFiles(const WatchedFiles&) = delete;
  WatchedFiles& operator=(const WatchedFiles&) = delete;

  /// The n-th write, truncation or sync from now (1: the next) fails with SQLITE_FULL, and so does
  /// each after it until there is room again. 0: never.
  void fill_disk_after(int n);
  /// Whether something was refused since.
  bool refused() const { return refused_; }

  std::vector<Operation> log;

  /// True when the operation may go on.
  bool allow();

 private:
  int left_ = 0;
  bool full_ = false;
  bool refused_ = false;
};

/// What could be on the disk after the power went at `cut` (operations before it were issued):
/// everything that was synced, and of what was not, each write whole, not at all, or torn at a
/// sector, as `seed` has it.
///
/// before   files as they were at the start of the log
/// returns  files by path; one that was never synced since it was made may be missing
std::map<std::string, std::string> after_power_cut(
    const std::vector<WatchedFiles::Operation>& log, std::size_t cut, std::uint64_t seed,
    const std::map<std::string, std::string>& before);

}  // namespace qn::test
