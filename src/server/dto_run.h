// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "app/live_run.h"
#include "app/run_session.h"
#include "vocab/result.h"

namespace qn {

/// api.yaml, RunAnswer.
/// errors  BadInput naming the key: no JSON, an unknown key or kind, no key to know it by
Result<RunAnswer> run_answer_from_json(const std::string& text);

/// api.yaml, RunStart; the book is not in it.
/// errors  BadInput naming the key; OutOfRange: a link that cannot be
Result<RunSessionRequest> run_start_from_json(const std::string& text);

/// api.yaml, TypedReading: the line.
Result<std::string> typed_reading_from_json(const std::string& text);

/// api.yaml, Book.
/// errors  those of the book
Result<std::string> book_json(const std::string& path, bool running);

}  // namespace qn
