// SPDX-License-Identifier: Apache-2.0
#include <fcntl.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <cstring>
#include <string_view>
#include <thread>

#include "store/book_lock_internal.h"

namespace qn {
namespace {

std::string lock_path(const std::string& book_path) { return book_path + "-lock"; }

std::string holder_in(int file) {
  std::array<char, 32> text{};
  const ssize_t count = ::pread(file, text.data(), text.size() - 1, 0);
  return count > 0 ? std::string{text.data(), static_cast<std::size_t>(count)} : std::string{};
}

Error held_by(const std::string& book_path, const std::string& holder) {
  return {ErrorKind::Io,
          holder.empty() ? "another program is writing to this book"
                         : "another program is writing to this book (process " + holder + ")",
          book_path, "one program at a time that writes to a book",
          "end that program or wait for it, then try again; `book show`, `book copy` and `book "
          "export` work meanwhile"};
}

Error no_lock(const std::string& book_path, int reason) {
  return {ErrorKind::Io, std::string{"the book cannot be written to: "} + std::strerror(reason),
          book_path, "a book in a folder that you may write to",
          reason == ENOSPC || reason == EDQUOT
              ? "free some space on the disk, then try again"
              : "allow it (chmod u+w), or copy the book to a place that can be written "
                "(quietnorth book copy)"};
}

// The file may have been taken away between opening and locking it, and a new one put in its place.
bool is_still(int file, const std::string& path) {
  struct stat ours {};
  struct stat there {};
  return ::fstat(file, &ours) == 0 && ::stat(path.c_str(), &there) == 0 &&
         ours.st_ino == there.st_ino && ours.st_dev == there.st_dev;
}

}  // namespace

Result<BookLock> BookLock::take(const std::string& book_path, std::chrono::milliseconds patience) {
  const std::string path = lock_path(book_path);
  const auto end = std::chrono::steady_clock::now() + patience;
  for (;;) {
    const int file = ::open(path.c_str(), O_RDWR | O_CREAT | O_CLOEXEC, 0666);
    if (file < 0) return no_lock(book_path, errno);
    BookLock lock{file, path};
    if (::flock(file, LOCK_EX | LOCK_NB) == 0) {
      if (!is_still(file, path)) continue;
      const std::string me = std::to_string(::getpid());
      // Who holds it is a help for the reader of a message; the lock itself does not need it.
      if (::ftruncate(file, 0) == 0) (void)!::pwrite(file, me.data(), me.size(), 0);
      return lock;
    }
    const int reason = errno;
    const std::string holder = holder_in(file);
    ::close(std::exchange(lock.file_, -1));  // without taking the other's file away
    if (reason != EWOULDBLOCK && reason != EINTR) return no_lock(book_path, reason);
    if (std::chrono::steady_clock::now() >= end) return held_by(book_path, holder);
    std::this_thread::sleep_for(std::chrono::milliseconds{20});
  }
}

bool BookLock::is_held(const std::string& book_path) {
  const int file = ::open(lock_path(book_path).c_str(), O_RDONLY | O_CLOEXEC);
  if (file < 0) return false;
  const bool held = ::flock(file, LOCK_SH | LOCK_NB) != 0 && errno == EWOULDBLOCK;
  ::close(file);
  return held;
}

BookLock::~BookLock() {
  if (file_ < 0) return;
  if (is_still(file_, path_)) ::unlink(path_.c_str());
  ::close(file_);
}

}  // namespace qn
