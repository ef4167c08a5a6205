// SPDX-License-Identifier: Apache-2.0
#include "app/file_digest.h"

#include <fmt/format.h>
#include <openssl/evp.h>

#include <algorithm>
#include <array>
#include <memory>
#include <vector>

#include "acquire/byte_source.h"

namespace qn {
namespace {

constexpr std::size_t kPiece = 1024 * 1024;

Result<std::string> sha256_of_source(const ByteSource& source) {
  const Error unavailable{ErrorKind::Io, "the system's OpenSSL library does not give SHA-256",
                          source.name(), "OpenSSL 3 with its default provider",
                          "repair the OpenSSL installation of this machine"};
  const std::unique_ptr<EVP_MD_CTX, decltype(&EVP_MD_CTX_free)> context{EVP_MD_CTX_new(),
                                                                        &EVP_MD_CTX_free};
  if (!context || EVP_DigestInit_ex(context.get(), EVP_sha256(), nullptr) != 1) return unavailable;
  std::vector<char> piece(std::min(source.size(), kPiece));
  for (std::size_t at = 0; at < source.size();) {
    const std::size_t count = std::min(piece.size(), source.size() - at);
    if (auto read = source.read_at(at, piece.data(), count); !read) return read.error();
    if (EVP_DigestUpdate(context.get(), piece.data(), count) != 1) return unavailable;
    at += count;
  }
  std::array<unsigned char, EVP_MAX_MD_SIZE> digest{};
  unsigned length = 0;
  if (EVP_DigestFinal_ex(context.get(), digest.data(), &length) != 1) return unavailable;
  std::string hex;
  for (unsigned i = 0; i < length; ++i) hex += fmt::format("{:02x}", digest[i]);
  return hex;
}

}  // namespace

Result<std::string> sha256_of(std::string_view bytes) {
  return sha256_of_source(*memory_source(bytes, "bytes in memory"));
}

Result<std::string> sha256_of_file(const std::string& path, const std::string& shown_name) {
  const auto source = open_file(path, shown_name);
  if (!source) return source.error();
  return sha256_of_source(*source.value());
}

}  // namespace qn
