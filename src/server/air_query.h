// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "app/solve_air.h"
#include "server/http_server_internal.h"

namespace qn {

/// What the query of an address under /api/air asks for, beside the request itself.
struct AirSheetAsked {
  std::string paper;                       ///< a4 or letter; empty: a4
  std::vector<std::string> configuration;  ///< only where a finding is kept
};

/// The keys of POST /api/air; each has the meaning of the option of `air solve` of the same name.
///
/// returns  BadInput naming the key: unknown, twice, or not a number
std::optional<Error> read_air_query(const HttpRequest& request, AirRequest& into,
                                    AirSheetAsked& asked);

/// The keys of GET /api/air/plan, likewise of `air plan`.
std::optional<Error> read_plan_query(const HttpRequest& request, AirPlanRequest& into,
                                     AirSheetAsked& asked);

}  // namespace qn
