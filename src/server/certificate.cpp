// SPDX-License-Identifier: Apache-2.0
#include "server/certificate.h"

#include <arpa/inet.h>
#include <openssl/bio.h>
#include <openssl/bn.h>
#include <openssl/ec.h>
#include <openssl/evp.h>
#include <openssl/pem.h>
#include <openssl/x509.h>
#include <openssl/x509v3.h>

#include <cstring>
#include <ctime>
#include <memory>

namespace qn {
namespace {

template <auto free_it>
struct Free {
  template <class T>
  void operator()(T* thing) const {
    free_it(thing);
  }
};
using Key = std::unique_ptr<EVP_PKEY, Free<EVP_PKEY_free>>;
using Certificate = std::unique_ptr<X509, Free<X509_free>>;
using Memory = std::unique_ptr<BIO, Free<BIO_free_all>>;

constexpr std::int64_t kDay_s = 86400;
// Phones that were without power start in the past; browsers take no certificate of more than 398
// days.
constexpr std::int64_t kBefore_s = 2 * kDay_s, kFor_s = 365 * kDay_s;

Error refused(const std::string& step) {
  return Error{ErrorKind::Io, "the certificate could not be made: " + step, "OpenSSL",
               "a working cryptographic library with the curve P-256",
               "install Debian's libssl3 again, or serve without --lan"};
}

Error damaged(const std::string& what) {
  return Error{ErrorKind::Corrupt, what, "kept certificate",
               "a key, its certificate and the authority", "have it made anew"};
}

bool add_extension(X509* to, X509* issuer, int kind, const std::string& value) {
  X509V3_CTX context;
  X509V3_set_ctx_nodb(&context);
  X509V3_set_ctx(&context, issuer, to, nullptr, nullptr, 0);
  X509_EXTENSION* extension = X509V3_EXT_conf_nid(nullptr, &context, kind, value.c_str());
  const bool added = extension != nullptr && X509_add_ext(to, extension, -1) == 1;
  X509_EXTENSION_free(extension);
  return added;
}

bool set_random_serial(X509* certificate) {
  const std::unique_ptr<BIGNUM, Free<BN_free>> number{BN_new()};
  return number && BN_rand(number.get(), 127, BN_RAND_TOP_ANY, BN_RAND_BOTTOM_ANY) == 1 &&
         BN_to_ASN1_INTEGER(number.get(), X509_get_serialNumber(certificate)) != nullptr;
}

bool set_name(X509_NAME* name, const std::string& text) {
  const std::string cut = text.substr(0, 64);  // as much as the field holds
  return X509_NAME_add_entry_by_txt(name, "CN", MBSTRING_UTF8,
                                    reinterpret_cast<const unsigned char*>(cut.data()),
                                    static_cast<int>(cut.size()), -1, 0) == 1;
}

Certificate blank(const std::string& subject, EVP_PKEY* key, std::int64_t now_unix_s) {
  Certificate made{X509_new()};
  const bool filled =
      made && X509_set_version(made.get(), X509_VERSION_3) == 1 && set_random_serial(made.get()) &&
      ASN1_TIME_set(X509_getm_notBefore(made.get()), now_unix_s - kBefore_s) != nullptr &&
      ASN1_TIME_set(X509_getm_notAfter(made.get()), now_unix_s + kFor_s) != nullptr &&
      set_name(X509_get_subject_name(made.get()), subject) && X509_set_pubkey(made.get(), key) == 1;
  return filled ? std::move(made) : nullptr;
}

std::string alternatives(const OwnNames& names) {
  std::string list;
  for (const auto& address : names.addresses) list += (list.empty() ? "IP:" : ",IP:") + address;
  for (const auto& name : names.names) list += (list.empty() ? "DNS:" : ",DNS:") + name;
  return list.empty() ? "DNS:localhost" : list;  // no network yet: it is made anew when there is
}

std::string text_in(BIO* memory) {
  char* data = nullptr;
  const long size = BIO_get_mem_data(memory, &data);
  return size > 0 ? std::string(data, static_cast<std::size_t>(size)) : std::string{};
}

std::string pem_of(X509* certificate) {
  const Memory memory{BIO_new(BIO_s_mem())};
  return memory && PEM_write_bio_X509(memory.get(), certificate) == 1 ? text_in(memory.get()) : "";
}

std::string pem_of(EVP_PKEY* key) {
  const Memory memory{BIO_new(BIO_s_mem())};
  return memory && PEM_write_bio_PrivateKey(memory.get(), key, nullptr, nullptr, 0, nullptr,
                                            nullptr) == 1
             ? text_in(memory.get())
             : "";
}

Memory over(const std::string& text) {
  return Memory{BIO_new_mem_buf(text.data(), static_cast<int>(text.size()))};
}

Certificate certificate_in(const std::string& pem) {
  const Memory memory = over(pem);
  return Certificate{PEM_read_bio_X509(memory.get(), nullptr, nullptr, nullptr)};
}

OwnNames names_in(X509* certificate) {
  OwnNames names;
  const std::unique_ptr<GENERAL_NAMES, Free<GENERAL_NAMES_free>> all{static_cast<GENERAL_NAMES*>(
      X509_get_ext_d2i(certificate, NID_subject_alt_name, nullptr, nullptr))};
  for (int i = 0; all && i < sk_GENERAL_NAME_num(all.get()); ++i) {
    const GENERAL_NAME* one = sk_GENERAL_NAME_value(all.get(), i);
    int type = 0;
    const void* value = GENERAL_NAME_get0_value(one, &type);
    if (type != GEN_IPADD && type != GEN_DNS) continue;
    const auto* text = static_cast<const ASN1_STRING*>(value);
    const auto* bytes = ASN1_STRING_get0_data(text);
    if (type == GEN_DNS) {
      names.names.emplace_back(reinterpret_cast<const char*>(bytes), ASN1_STRING_length(text));
    } else if (ASN1_STRING_length(text) == 4) {
      char shown[INET_ADDRSTRLEN] = {};
      if (::inet_ntop(AF_INET, bytes, shown, sizeof shown)) names.addresses.emplace_back(shown);
    }
  }
  return names;
}

std::int64_t unix_time(const ASN1_TIME* time) {
  std::tm parts{};
  return ASN1_TIME_to_tm(time, &parts) == 1 ? ::timegm(&parts) : 0;
}

std::string fingerprint_of(X509* certificate) {
  unsigned char digest[EVP_MAX_MD_SIZE];
  unsigned length = 0;
  if (X509_digest(certificate, EVP_sha256(), digest, &length) != 1) return {};
  static constexpr char kDigits[] = "0123456789ABCDEF";
  std::string text;
  for (unsigned i = 0; i < length; ++i) {
    if (i > 0) text += ':';
    text += kDigits[digest[i] >> 4];
    text += kDigits[digest[i] & 15];
  }
  return text;
}

}  // namespace

Result<CertifiedKey> make_certificate(const OwnNames& names, std::int64_t now_unix_s) {
  const Key authority_key{EVP_EC_gen("P-256")}, key{EVP_EC_gen("P-256")};
  if (!authority_key || !key) return refused("no key");
  const std::string who = names.names.empty() ? "this computer" : names.names.front();
  const Certificate authority = blank("Local pages of " + who, authority_key.get(), now_unix_s);
  if (!authority ||
      X509_set_issuer_name(authority.get(), X509_get_subject_name(authority.get())) != 1 ||
      !add_extension(authority.get(), authority.get(), NID_basic_constraints,
                     "critical,CA:TRUE,pathlen:0") ||
      !add_extension(authority.get(), authority.get(), NID_key_usage, "critical,keyCertSign") ||
      !add_extension(authority.get(), authority.get(), NID_subject_key_identifier, "hash") ||
      X509_sign(authority.get(), authority_key.get(), EVP_sha256()) == 0) {
    return refused("no authority");
  }
  const Certificate made = blank(who, key.get(), now_unix_s);
  if (!made || X509_set_issuer_name(made.get(), X509_get_subject_name(authority.get())) != 1 ||
      !add_extension(made.get(), authority.get(), NID_basic_constraints, "critical,CA:FALSE") ||
      !add_extension(made.get(), authority.get(), NID_key_usage, "critical,digitalSignature") ||
      !add_extension(made.get(), authority.get(), NID_ext_key_usage, "serverAuth") ||
      !add_extension(made.get(), authority.get(), NID_subject_key_identifier, "hash") ||
      !add_extension(made.get(), authority.get(), NID_authority_key_identifier, "keyid:always") ||
      !add_extension(made.get(), authority.get(), NID_subject_alt_name, alternatives(names)) ||
      X509_sign(made.get(), authority_key.get(), EVP_sha256()) == 0) {
    return refused("no certificate");
  }
  CertifiedKey all{pem_of(key.get()), pem_of(made.get()), pem_of(authority.get())};
  if (all.key.empty() || all.certificate.empty() || all.authority.empty())
    return refused("no text");
  return all;
}

Result<CertificateFacts> facts_of(const CertifiedKey& kept) {
  const Certificate certificate = certificate_in(kept.certificate);
  const Certificate authority = certificate_in(kept.authority);
  const Memory key_text = over(kept.key);
  const Key key{PEM_read_bio_PrivateKey(key_text.get(), nullptr, nullptr, nullptr)};
  if (!certificate || !authority || !key) return damaged("a part of it cannot be read");
  if (X509_check_private_key(certificate.get(), key.get()) != 1) {
    return damaged("the key is not the certificate's");
  }
  if (X509_verify(certificate.get(), X509_get0_pubkey(authority.get())) != 1) {
    return damaged("the authority has not signed the certificate");
  }
  return CertificateFacts{names_in(certificate.get()),
                          unix_time(X509_get0_notAfter(certificate.get())),
                          fingerprint_of(certificate.get())};
}

}  // namespace qn
