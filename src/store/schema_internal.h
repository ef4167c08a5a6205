// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "store/sqlite_internal.h"

namespace qn {

/// "QNbk": written into the file's header, where `file` and other programs look.
inline constexpr int kBookApplicationId = 0x514E626B;
/// The version that this program writes. Older ones are brought up to it when they are opened.
inline constexpr int kBookVersion = 2;

/// errors  BadInput: no book, or one of a newer version. Corrupt, Io.
Result<int> book_version(const Database& database);

/// From `version` (0: an empty file) to kBookVersion, each step in a transaction of its own, so
/// that a book is never between two versions.
Result<Done> migrate(Database& database, int version);

/// All tables of the present version, those that others point to first.
const std::vector<std::string>& table_names();

}  // namespace qn
