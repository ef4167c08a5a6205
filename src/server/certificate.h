// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <string>

#include "server/own_names.h"
#include "vocab/result.h"

namespace qn {

/// What a server under TLS shows and keeps: all in PEM.
struct CertifiedKey {
  std::string key;          ///< private, EC P-256
  std::string certificate;  ///< for the names, signed by the authority
  std::string authority;    ///< trusted once on a device, it makes the browser's warning go away
};

/// Makes a key and a certificate for these names, good for a year.
///
/// The authority signs this one certificate and its key is thrown away: who trusts it trusts this
/// key and can be shown nothing else by it. (A certificate that signs itself would do for a
/// browser's exception, but phones let only an authority be trusted for good.)
///
/// errors   Io when the cryptographic library refuses
Result<CertifiedKey> make_certificate(const OwnNames& names, std::int64_t now_unix_s);

/// What an existing one is worth.
struct CertificateFacts {
  OwnNames names;  ///< in the order of the certificate
  std::int64_t until_unix_s = 0;
  std::string fingerprint;  ///< SHA-256 of the certificate: "3F:0A:...", 32 groups of two
};

/// errors   Corrupt when it is no certificate, or not of this key, or not of this authority
Result<CertificateFacts> facts_of(const CertifiedKey& kept);

}  // namespace qn
