// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <memory>
#include <string>
#include <string_view>

#include "vocab/result.h"

struct evp_md_ctx_st;  // of OpenSSL, whose header stays out of ours

namespace qn {

/// SHA-256 (FIPS 180-4) of bytes that come in pieces. Memory stays flat.
class Sha256 {
 public:
  Sha256();
  ~Sha256();
  Sha256(Sha256&&) noexcept;
  Sha256& operator=(Sha256&&) noexcept;

  void add(std::string_view bytes);
  /// A number, or a text with its length, so that ("ab", "c") and ("a", "bc") differ.
  void add_field(std::string_view text);
  void add_number(unsigned long long number);

  /// 64 lower-case hex digits; to be asked once.
  /// errors  Io when the system's OpenSSL does not give SHA-256
  Result<std::string> hex();

 private:
  std::unique_ptr<evp_md_ctx_st, void (*)(evp_md_ctx_st*)> context_;
  bool good_ = false;
};

/// The same of bytes at hand.
Result<std::string> sha256_hex(std::string_view bytes);

}  // namespace qn
