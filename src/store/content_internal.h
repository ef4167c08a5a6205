// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <string_view>

#include "store/book_records.h"
#include "store/sqlite_internal.h"

namespace qn {

/// Keeps the bytes once, whoever brings them; returns their SHA-256. Inside a transaction.
Result<std::string> keep_content(Database& database, std::string_view bytes);

/// The hash of a whole finding: every text with its length, inputs by role, name and hash.
/// result_sha256  stands for the result
Result<std::string> finding_sha256(const NewFinding& finding, const std::string& result_sha256);

}  // namespace qn
