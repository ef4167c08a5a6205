// SPDX-License-Identifier: Apache-2.0
#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <cstdio>
#include <cstring>
#include <filesystem>

#include "store/new_file_internal.h"

namespace qn {
namespace {

Error taken(const std::string& path) {
  return {ErrorKind::Io, "there is a file of that name already", path,
          "a name that is not taken: a book is never written over",
          "choose another name, or move the old file away first"};
}

Error failed(const std::string& path, int reason) {
  return {ErrorKind::Io, std::string{"the file cannot be made: "} + std::strerror(reason), path,
          "a folder that you may write to, with room for the file",
          reason == ENOENT ? "make the folder first, or name another one"
                           : "check the folder and the disk, or choose another place"};
}

int sync_path(const std::string& path, int flags) {
  const int file = ::open(path.c_str(), flags | O_CLOEXEC);
  if (file < 0) return errno;
  const int reason = ::fsync(file) == 0 ? 0 : errno;
  ::close(file);
  return reason;
}

}  // namespace

Result<NewFile> NewFile::at(const std::string& path) {
  const std::filesystem::path whole{path};
  std::error_code ignored;
  if (std::filesystem::exists(std::filesystem::symlink_status(whole, ignored))) return taken(path);
  const auto folder = whole.has_parent_path() ? whole.parent_path() : std::filesystem::path{"."};
  if (!whole.has_filename()) return failed(path, EISDIR);
  if (!std::filesystem::is_directory(folder, ignored)) return failed(path, ENOENT);
  if (::access(folder.c_str(), W_OK | X_OK) != 0) return failed(path, errno);
  const std::string partial =
      (folder / (".partial-" + std::to_string(::getpid()) + "-" + whole.filename().string()))
          .string();
  NewFile file{path, partial};
  std::filesystem::remove(partial, ignored);
  return file;
}

NewFile::~NewFile() {
  if (partial_.empty()) return;
  for (const char* end : {"", "-wal", "-shm", "-journal"}) ::unlink((partial_ + end).c_str());
}

Result<Done> NewFile::publish() {
  if (const int reason = sync_path(partial_, O_RDONLY); reason != 0) return failed(path_, reason);
  // A second name and then one less, because a rename would replace a file that came meanwhile.
  if (::link(partial_.c_str(), path_.c_str()) != 0) {
    if (errno == EEXIST) return taken(path_);
    // Some file systems, as on memory sticks, know no second names.
    std::error_code ignored;
    if (std::filesystem::exists(path_, ignored)) return taken(path_);
    if (std::rename(partial_.c_str(), path_.c_str()) != 0) return failed(path_, errno);
  } else {
    ::unlink(partial_.c_str());
  }
  const auto folder = std::filesystem::path{path_}.parent_path();
  // Some file systems cannot sync a folder, which is no error.
  (void)sync_path(folder.empty() ? "." : folder.string(), O_RDONLY | O_DIRECTORY);
  partial_.clear();
  return Done{};
}

}  // namespace qn
