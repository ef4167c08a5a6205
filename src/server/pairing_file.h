// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "server/pairing.h"

namespace qn {

/// Who is paired, kept between runs of the program: a program that is started again in the middle
/// of a live run, after a flat battery, must not send its helpers back to the code. Of a token only
/// the hash is kept. A file that is missing, damaged or readable by others holds nobody.
///
/// now_unix_s  by which the twelve hours go on while the program does not run
std::vector<KeptPairing> read_pairings(const std::string& path, std::int64_t now_unix_s);

/// returns  why not; none: it is written
std::optional<std::string> write_pairings(const std::string& path,
                                          const std::vector<KeptPairing>& pairings,
                                          std::int64_t now_unix_s);

}  // namespace qn
