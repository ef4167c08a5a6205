// SPDX-License-Identifier: Apache-2.0
#include "store/sha256.h"

#include <openssl/evp.h>

#include <array>
#include <utility>

namespace qn {

Sha256::Sha256() : context_{EVP_MD_CTX_new(), &EVP_MD_CTX_free} {
  good_ = context_ && EVP_DigestInit_ex(context_.get(), EVP_sha256(), nullptr) == 1;
}
Sha256::~Sha256() = default;
Sha256::Sha256(Sha256&&) noexcept = default;
Sha256& Sha256::operator=(Sha256&&) noexcept = default;

void Sha256::add(std::string_view bytes) {
  good_ = good_ && EVP_DigestUpdate(context_.get(), bytes.data(), bytes.size()) == 1;
}

void Sha256::add_number(unsigned long long number) {
  std::array<char, 8> bytes{};
  for (char& byte : bytes) {
    byte = static_cast<char>(number & 0xffU);
    number >>= 8U;
  }
  add({bytes.data(), bytes.size()});
}

void Sha256::add_field(std::string_view text) {
  add_number(text.size());
  add(text);
}

Result<std::string> Sha256::hex() {
  std::array<unsigned char, EVP_MAX_MD_SIZE> digest{};
  unsigned length = 0;
  good_ = good_ && EVP_DigestFinal_ex(context_.get(), digest.data(), &length) == 1;
  if (!good_) {
    return Error{ErrorKind::Io, "the system's OpenSSL library does not give SHA-256",
                 "this machine", "OpenSSL 3 with its default provider",
                 "repair the OpenSSL installation of this machine"};
  }
  constexpr std::string_view kDigits = "0123456789abcdef";
  std::string text;
  for (unsigned i = 0; i < length; ++i) {
    text += kDigits[digest[i] >> 4U];
    text += kDigits[digest[i] & 0xfU];
  }
  good_ = false;
  return text;
}

Result<std::string> sha256_hex(std::string_view bytes) {
  Sha256 digest;
  digest.add(bytes);
  return digest.hex();
}

}  // namespace qn
