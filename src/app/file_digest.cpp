// SPDX-License-Identifier: Apache-2.0
#include "app/file_digest.h"

#include <algorithm>
#include <vector>

#include "acquire/byte_source.h"
#include "store/sha256.h"

namespace qn {
namespace {

constexpr std::size_t kPiece = 1024 * 1024;

Result<std::string> sha256_of_source(const ByteSource& source) {
  Sha256 digest;
  std::vector<char> piece(std::min(source.size(), kPiece));
  for (std::size_t at = 0; at < source.size();) {
    const std::size_t count = std::min(piece.size(), source.size() - at);
    if (auto read = source.read_at(at, piece.data(), count); !read) return read.error();
    digest.add({piece.data(), count});
    at += count;
  }
  return digest.hex();
}

}  // namespace

Result<std::string> sha256_of(std::string_view bytes) { return sha256_hex(bytes); }

Result<std::string> sha256_of_file(const std::string& path, const std::string& shown_name) {
  const auto source = open_file(path, shown_name);
  if (!source) return source.error();
  return sha256_of_source(*source.value());
}

}  // namespace qn
