// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <string>

#include "server/certificate.h"
#include "vocab/result.h"

namespace qn {

struct TlsIdentity {
  CertifiedKey kept;
  CertificateFacts facts;
};

/// The user's folder for what a program keeps between runs: $XDG_STATE_HOME/quietnorth, else
/// ~/.local/state/quietnorth.
/// errors   Io when neither is known
Result<std::string> state_folder();

/// The certificate kept in the folder, or a new one in its place: when there is none, it is
/// damaged, others can read its key, it ends within a week, or it lacks one of the names. A new one
/// has the old one's names too, so that a machine that goes to and fro between two networks is
/// trusted once.
///
/// folder   made when it is missing, for its owner alone
/// errors   Io when the disk does not take it
Result<TlsIdentity> tls_identity(const std::string& folder, const OwnNames& names,
                                 std::int64_t now_unix_s);

}  // namespace qn
