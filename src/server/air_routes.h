// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <functional>

#include "app/book_recording.h"
#include "server/http_server_internal.h"

namespace qn {

/// As much of a flight as the reader takes.
inline constexpr std::uint64_t kFlightLimit = 64ULL << 20;

/// /api/air, its sheets and its finding, and the plan of a flight.
bool is_in_the_air(const HttpRequest& request);
/// Of these the one that needs the book.
bool keeps_flight(const HttpRequest& request);
/// Of these the ones with a flight in the body.
bool brings_flight(const HttpRequest& request);

/// The check in the air, with the flight in the body: the document, byte for byte what `air solve
/// --json` prints, or its sheet; or the plan of one that is to be flown. The file of the body is
/// gone when it returns. Some milliseconds, more for a long log: not for the server's thread.
HttpResponse check_in_the_air(const HttpRequest& request);

/// Opens the aircraft's book, or takes it from the run that has it open.
using InBook = std::function<Result<std::string>(const UseOfBook&)>;

/// Solves the flight in the body and keeps it in the book, as `air solve --book` does; a flight
/// that is there already is not kept again. It waits for the disk.
HttpResponse keep_flight(const HttpRequest& request, const InBook& in_book);

}  // namespace qn
