// SPDX-License-Identifier: Apache-2.0
#include "store/watched_files.h"

#include <algorithm>
#include <cstdlib>

namespace qn::test {
namespace {

WatchedFiles* watcher = nullptr;
sqlite3_vfs* real_layer = nullptr;

/// SQLite gives us room for this and the real file behind it.
struct WatchedFile {
  sqlite3_file base;
  const char* path;
};
constexpr int kOurSize = (sizeof(WatchedFile) + 15) / 16 * 16;

WatchedFile* ours(sqlite3_file* file) { return reinterpret_cast<WatchedFile*>(file); }
sqlite3_file* real(sqlite3_file* file) {
  return reinterpret_cast<sqlite3_file*>(reinterpret_cast<char*>(file) + kOurSize);
}
const sqlite3_io_methods* of(sqlite3_file* file) { return real(file)->pMethods; }

void note(sqlite3_file* file, WatchedFiles::Operation operation) {
  if (watcher == nullptr || ours(file)->path == nullptr) return;
  operation.path = ours(file)->path;
  watcher->log.push_back(std::move(operation));
}
bool allowed() { return watcher == nullptr || watcher->allow(); }

int do_close(sqlite3_file* f) { return of(f)->xClose(real(f)); }
int do_read(sqlite3_file* f, void* to, int count, sqlite3_int64 at) {
  return of(f)->xRead(real(f), to, count, at);
}
int do_write(sqlite3_file* f, const void* from, int count, sqlite3_int64 at) {
  if (!allowed()) return SQLITE_FULL;
  note(f, {WatchedFiles::Kind::write, "", at,
           std::string{static_cast<const char*>(from), static_cast<std::size_t>(count)}});
  return of(f)->xWrite(real(f), from, count, at);
}
int do_truncate(sqlite3_file* f, sqlite3_int64 size) {
  if (!allowed()) return SQLITE_FULL;
  note(f, {WatchedFiles::Kind::truncate, "", size, ""});
  return of(f)->xTruncate(real(f), size);
}
int do_sync(sqlite3_file* f, int) {
  if (!allowed()) return SQLITE_FULL;
  // Written down and not done: what a sync is good for is played in after_power_cut.
  note(f, {WatchedFiles::Kind::sync, "", 0, ""});
  return SQLITE_OK;
}
int do_size(sqlite3_file* f, sqlite3_int64* size) { return of(f)->xFileSize(real(f), size); }
int do_lock(sqlite3_file* f, int how) { return of(f)->xLock(real(f), how); }
int do_unlock(sqlite3_file* f, int how) { return of(f)->xUnlock(real(f), how); }
int do_reserved(sqlite3_file* f, int* out) { return of(f)->xCheckReservedLock(real(f), out); }
int do_control(sqlite3_file* f, int op, void* arg) { return of(f)->xFileControl(real(f), op, arg); }
int do_sector(sqlite3_file* f) { return of(f)->xSectorSize(real(f)); }
int do_traits(sqlite3_file*) { return 0; }  // no promise of the disk is relied upon
int do_map(sqlite3_file* f, int page, int size, int extend, void volatile** out) {
  return of(f)->xShmMap(real(f), page, size, extend, out);
}
int do_shm_lock(sqlite3_file* f, int at, int n, int flags) {
  return of(f)->xShmLock(real(f), at, n, flags);
}
void do_barrier(sqlite3_file* f) { of(f)->xShmBarrier(real(f)); }
int do_unmap(sqlite3_file* f, int remove) { return of(f)->xShmUnmap(real(f), remove); }

const sqlite3_io_methods kMethods = {2,          do_close,  do_read,   do_write,  do_truncate,
                                     do_sync,    do_size,   do_lock,   do_unlock, do_reserved,
                                     do_control, do_sector, do_traits, do_map,    do_shm_lock,
                                     do_barrier, do_unmap,  nullptr,   nullptr};

int do_open(sqlite3_vfs*, const char* path, sqlite3_file* f, int flags, int* out_flags) {
  ours(f)->base.pMethods = nullptr;
  ours(f)->path = path;  // SQLite keeps it until the file is closed
  const int code = real_layer->xOpen(real_layer, path, real(f), flags, out_flags);
  if (real(f)->pMethods != nullptr) ours(f)->base.pMethods = &kMethods;
  return code;
}
int do_delete(sqlite3_vfs*, const char* path, int sync) {
  if (watcher != nullptr) watcher->log.push_back({WatchedFiles::Kind::remove, path, 0, ""});
  return real_layer->xDelete(real_layer, path, sync);
}

sqlite3_vfs our_layer;

void apply(std::string& content, std::int64_t offset, const std::string& bytes) {
  const auto at = static_cast<std::size_t>(offset);
  if (content.size() < at + bytes.size()) content.resize(at + bytes.size(), '\0');
  content.replace(at, bytes.size(), bytes);
}

struct Dice {
  std::uint64_t state;
  std::uint64_t below(std::uint64_t n) {
    state = state * 6364136223846793005ULL + 1442695040888963407ULL;
    return (state >> 33U) % n;
  }
};

constexpr std::size_t kSector = 512;

// Whole, not at all, or some of its sectors.
void apply_perhaps(std::string& content, const WatchedFiles::Operation& op, Dice& dice) {
  const auto fate = dice.below(3);
  if (op.kind == WatchedFiles::Kind::truncate) {
    if (fate != 0) content.resize(static_cast<std::size_t>(op.offset));
    return;
  }
  if (fate == 0) return;
  for (std::size_t at = 0; at < op.bytes.size(); at += kSector) {
    if (fate == 2 && dice.below(2) == 0) continue;
    apply(content, op.offset + static_cast<std::int64_t>(at), op.bytes.substr(at, kSector));
  }
}

}  // namespace

WatchedFiles::WatchedFiles() {
  real_layer = sqlite3_vfs_find(nullptr);
  our_layer = *real_layer;
  our_layer.zName = "watched";
  our_layer.szOsFile = kOurSize + real_layer->szOsFile;
  our_layer.xOpen = do_open;
  our_layer.xDelete = do_delete;
  our_layer.pNext = nullptr;
  sqlite3_vfs_register(&our_layer, 1);
  watcher = this;
}

WatchedFiles::~WatchedFiles() {
  watcher = nullptr;
  sqlite3_vfs_unregister(&our_layer);
  sqlite3_vfs_register(real_layer, 1);
}

void WatchedFiles::fill_disk_after(int n) {
  left_ = n;
  full_ = false;
  refused_ = false;
}

bool WatchedFiles::allow() {
  if (left_ > 0 && --left_ == 0) full_ = true;
  refused_ = refused_ || full_;
  return !full_;
}

std::map<std::string, std::string> after_power_cut(
    const std::vector<WatchedFiles::Operation>& log, std::size_t cut, std::uint64_t seed,
    const std::map<std::string, std::string>& before) {
  std::map<std::string, std::string> safe = before;
  std::map<std::string, std::vector<const WatchedFiles::Operation*>> pending;
  for (std::size_t i = 0; i < cut; ++i) {
    const auto& op = log[i];
    auto& waiting = pending[op.path];
    if (op.kind == WatchedFiles::Kind::remove) {
      waiting.clear();
      safe.erase(op.path);
    } else if (op.kind == WatchedFiles::Kind::sync) {
      std::string& content = safe[op.path];
      for (const auto* one : waiting) {
        if (one->kind == WatchedFiles::Kind::truncate) {
          content.resize(static_cast<std::size_t>(one->offset));
        } else {
          apply(content, one->offset, one->bytes);
        }
      }
      waiting.clear();
    } else {
      waiting.push_back(&op);
    }
  }
  Dice dice{seed * 7919U + cut};
  for (const auto& [path, waiting] : pending) {
    if (waiting.empty()) continue;
    const bool known = safe.count(path) != 0;
    if (!known && dice.below(2) == 0) continue;
    for (const auto* op : waiting) apply_perhaps(safe[path], *op, dice);
  }
  return safe;
}

}  // namespace qn::test
