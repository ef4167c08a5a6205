// SPDX-License-Identifier: Apache-2.0
#include "acquire/byte_source.h"

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>
#include <utility>

#include "vocab/expects.h"

namespace qn {
namespace {

class FileDescriptor {
 public:
  explicit FileDescriptor(int number) : number_{number} {}
  ~FileDescriptor() {
    if (number_ >= 0) ::close(number_);
  }
  FileDescriptor(FileDescriptor&& other) noexcept : number_{std::exchange(other.number_, -1)} {}
  FileDescriptor& operator=(FileDescriptor&&) = delete;
  int number() const { return number_; }

 private:
  int number_;
};

class FileSource final : public ByteSource {
 public:
  FileSource(FileDescriptor file, std::string name, std::size_t size)
      : ByteSource{std::move(name), size}, file_{std::move(file)} {}

  Result<Done> read_at(std::size_t offset, char* to, std::size_t count) const override {
    QN_EXPECTS(offset <= size() && count <= size() - offset);
    while (count > 0) {
      const ssize_t got = ::pread(file_.number(), to, count, static_cast<off_t>(offset));
      if (got < 0 && errno == EINTR) continue;
      if (got < 0) {
        return Error{ErrorKind::BadInput,
                     fmt::format("reading stopped at byte {}: {}", offset, std::strerror(errno)),
                     name(), "a file that can be read to its end",
                     "copy the file to this machine's own disk and try again"};
      }
      if (got == 0) {
        return Error{ErrorKind::BadInput,
                     fmt::format("the file had {} bytes when it was opened and now ends at byte {}",
                                 size(), offset),
                     name(), "a file that nobody changes while it is read",
                     "wait until the recorder or the copy has finished, then try again"};
      }
      const auto step = static_cast<std::size_t>(got);
      offset += step;
      to += step;
      count -= step;
    }
    return Done{};
  }

 private:
  FileDescriptor file_;
};

class MemorySource final : public ByteSource {
 public:
  MemorySource(std::string_view bytes, std::string name)
      : ByteSource{std::move(name), bytes.size()}, bytes_{bytes} {}

  Result<Done> read_at(std::size_t offset, char* to, std::size_t count) const override {
    QN_EXPECTS(offset <= size() && count <= size() - offset);
    if (count > 0) std::memcpy(to, bytes_.data() + offset, count);
    return Done{};
  }

 private:
  std::string_view bytes_;
};

Error cannot_open(const std::string& name, int reason) {
  if (reason == ENOENT || reason == ENOTDIR) {
    return {ErrorKind::BadInput, "there is no such file", name, "the path of an existing file",
            "check the spelling and the folder (list it with: ls)"};
  }
  if (reason == EACCES || reason == EPERM) {
    return {ErrorKind::BadInput, "no permission to read this file", name,
            "a file you are allowed to read",
            "allow it (chmod u+r FILE, or ask its owner), or copy it to a folder of your own"};
  }
  return {ErrorKind::BadInput, fmt::format("the file cannot be opened: {}", std::strerror(reason)),
          name, "a file that can be read", "copy the file to a folder of your own and try again"};
}

std::string without_folder(const std::string& path) {
  const std::size_t slash = path.find_last_of('/');
  return slash == std::string::npos || slash + 1 == path.size() ? path : path.substr(slash + 1);
}

}  // namespace

Result<std::unique_ptr<ByteSource>> open_file(const std::string& path,
                                              const std::string& shown_name) {
  const std::string as_given = !shown_name.empty() ? shown_name : path.empty() ? "''" : path;
  // O_NONBLOCK: a named pipe without a writer must give a message, not a wait without end.
  FileDescriptor file{::open(path.c_str(), O_RDONLY | O_CLOEXEC | O_NONBLOCK)};
  if (file.number() < 0) return cannot_open(as_given, errno);
  struct stat info {};
  if (::fstat(file.number(), &info) != 0) return cannot_open(as_given, errno);
  if (S_ISDIR(info.st_mode)) {
    return Error{ErrorKind::BadInput, "this is a folder, not a file", as_given,
                 "one file in CSV format", "name a file inside the folder"};
  }
  if (!S_ISREG(info.st_mode)) {
    return Error{ErrorKind::BadInput, "this is a pipe or a device, not a plain file", as_given,
                 "a plain file, because it is read in several places at once",
                 "save what the pipe or the device sends to a file first"};
  }
  const std::string name = shown_name.empty() ? without_folder(path) : shown_name;
  return std::unique_ptr<ByteSource>{
      std::make_unique<FileSource>(std::move(file), name, static_cast<std::size_t>(info.st_size))};
}

std::unique_ptr<ByteSource> memory_source(std::string_view bytes, std::string name) {
  return std::make_unique<MemorySource>(bytes, std::move(name));
}

}  // namespace qn
