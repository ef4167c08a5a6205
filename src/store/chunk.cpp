// SPDX-License-Identifier: Apache-2.0
#include "store/chunk.h"

#include <bit>
#include <cstdint>

#include "store/sha256.h"

namespace qn {
namespace {

constexpr std::size_t kPacked = 12;

void put(std::string& out, std::uint64_t value, int bytes) {
  for (int i = 0; i < bytes; ++i) {
    out += static_cast<char>(value & 0xffU);
    value >>= 8U;
  }
}

std::uint64_t get(std::string_view bytes) {
  std::uint64_t value = 0;
  for (std::size_t i = bytes.size(); i-- > 0;) {
    value = (value << 8U) | static_cast<unsigned char>(bytes[i]);
  }
  return value;
}

}  // namespace

std::string packed(const std::vector<Piece>& pieces) {
  std::string out;
  out.reserve(pieces.size() * kPacked);
  for (const Piece& piece : pieces) {
    put(out, piece.bytes, 4);
    put(out, std::bit_cast<std::uint64_t>(piece.arrival_s), 8);
  }
  return out;
}

std::optional<std::vector<Piece>> unpacked(std::string_view bytes) {
  if (bytes.size() % kPacked != 0) return std::nullopt;
  std::vector<Piece> pieces;
  pieces.reserve(bytes.size() / kPacked);
  for (std::size_t at = 0; at < bytes.size(); at += kPacked) {
    pieces.push_back({static_cast<std::uint32_t>(get(bytes.substr(at, 4))),
                      std::bit_cast<double>(get(bytes.substr(at + 4, 8)))});
  }
  return pieces;
}

Result<std::string> chunk_sha256(std::string_view bytes, std::string_view pieces) {
  Sha256 digest;
  digest.add(bytes);
  digest.add(pieces);
  return digest.hex();
}

}  // namespace qn
