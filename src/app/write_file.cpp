// SPDX-License-Identifier: Apache-2.0
#include "app/write_file.h"

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/stat.h>
#include <unistd.h>

#include <atomic>
#include <cerrno>
#include <climits>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <memory>

namespace qn {
namespace {

std::string what_to_do(int reason) {
  switch (reason) {
    case ENOENT: return "create the folder first, or name another one";
    case ENOTDIR: return "name a path in which every part but the last is a folder";
    case EACCES:
    case EPERM: return "choose a folder you may write to, or allow it (chmod u+w FOLDER)";
    case EROFS: return "choose a folder on a disk that can be written to";
    case ENOSPC:
    case EDQUOT: return "free some space on the disk, then try again";
    case EISDIR: return "name a file inside the folder";
    case ENAMETOOLONG: return "choose a shorter name";
    default: return "check the disk, or write to another folder";
  }
}

Error cannot_write(const std::string& path, int reason) {
  return {ErrorKind::Io, fmt::format("the file cannot be written: {}", std::strerror(reason)),
          path.empty() ? "''" : path, "a place where a file can be written", what_to_do(reason)};
}

/// 0, or errno.
int write_all(int file, std::string_view bytes) {
  while (!bytes.empty()) {
    const ssize_t wrote = ::write(file, bytes.data(), bytes.size());
    if (wrote < 0 && errno == EINTR) continue;
    if (wrote < 0) return errno;
    bytes.remove_prefix(static_cast<std::size_t>(wrote));
  }
  return 0;
}

int close_file(int file, int reason) {
  const int closed = ::close(file);
  return reason == 0 && closed != 0 ? errno : reason;
}

int write_in_place(const std::string& path, std::string_view bytes) {
  const int file = ::open(path.c_str(), O_WRONLY | O_CLOEXEC);
  if (file < 0) return errno;
  return close_file(file, write_all(file, bytes));
}

std::string resolve_links(const std::string& path) {
  const std::unique_ptr<char, decltype(&std::free)> real{::realpath(path.c_str(), nullptr),
                                                         &std::free};
  return real ? std::string{real.get()} : path;
}

std::string folder_of(const std::string& path) {
  const std::size_t slash = path.find_last_of('/');
  return slash == std::string::npos ? "." : slash == 0 ? "/" : path.substr(0, slash);
}

int replace_file(const std::string& path, std::string_view bytes, const struct stat* old) {
  static std::atomic<unsigned> counter{0};
  const std::string folder = folder_of(path);
  const std::string partial =
      fmt::format("{}/.partial-{}-{}", folder, ::getpid(), counter.fetch_add(1));
  const int file = ::open(partial.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
  if (file < 0) return errno;
  int reason = 0;
  if (old != nullptr && ::fchmod(file, old->st_mode & 07777) != 0) reason = errno;
  if (reason == 0) reason = write_all(file, bytes);
  if (reason == 0 && ::fsync(file) != 0) reason = errno;
  reason = close_file(file, reason);
  if (reason == 0 && std::rename(partial.c_str(), path.c_str()) != 0) reason = errno;
  if (reason != 0) {
    ::unlink(partial.c_str());
    return reason;
  }
  // The rename itself must survive a power cut; some file systems cannot do this, which is no
  // error.
  const int directory = ::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
  if (directory >= 0) {
    (void)::fsync(directory);
    ::close(directory);
  }
  return 0;
}

}  // namespace

Result<Done> write_file(const std::string& path, std::string_view bytes) {
  const std::string real = resolve_links(path);
  struct stat info {};
  const bool exists = ::stat(real.c_str(), &info) == 0;
  if (exists && S_ISDIR(info.st_mode)) return cannot_write(path, EISDIR);
  if (exists && S_ISREG(info.st_mode) && ::access(real.c_str(), W_OK) != 0) {
    return cannot_write(path, errno);  // a protected file is not replaced behind its owner's back
  }
  const int reason = exists && !S_ISREG(info.st_mode)
                         ? write_in_place(path, bytes)
                         : replace_file(real, bytes, exists ? &info : nullptr);
  if (reason != 0) return cannot_write(path, reason);
  return Done{};
}

}  // namespace qn
