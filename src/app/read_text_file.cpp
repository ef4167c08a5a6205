// SPDX-License-Identifier: Apache-2.0
#include "app/read_text_file.h"

#include <cerrno>
#include <cstring>
#include <filesystem>
#include <fstream>
#include <iterator>

namespace qn {
namespace {

constexpr std::uintmax_t kLargest = 64ULL << 20;

Error cannot_read(const std::string& path, const std::string& why) {
  return Error{ErrorKind::BadInput, "the file cannot be read: " + why, path,
               "a readable file of at most 64 MiB", "check the name and that you may read it"};
}

}  // namespace

Result<std::string> read_text_file(const std::string& path) {
  std::error_code trouble;
  const auto status = std::filesystem::status(path, trouble);
  if (!std::filesystem::exists(status)) return cannot_read(path, "there is no such file");
  if (std::filesystem::is_directory(status)) return cannot_read(path, "it is a folder");
  const auto size = std::filesystem::file_size(path, trouble);
  if (!trouble && size > kLargest) return cannot_read(path, "it is larger than 64 MiB");
  std::ifstream file{path, std::ios::binary};
  if (!file) return cannot_read(path, std::strerror(errno));
  std::string text{std::istreambuf_iterator<char>{file}, {}};
  if (file.bad()) return cannot_read(path, std::strerror(errno));
  return text;
}

}  // namespace qn
