// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "procedure/run_event.h"
#include "store/book_records.h"
#include "vocab/result.h"

namespace qn {

/// An entry of a run's journal as the book keeps it (docs/formats/run-journal.md); numbers come
/// back to the last digit.
RunEvent to_record(const run::Event& event);

/// errors  Corrupt: a kind that is not known, a payload that is no JSON or lacks what the kind
/// needs
Result<run::Event> run_event_from(const RunEvent& record);

}  // namespace qn
