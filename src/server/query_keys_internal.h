// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <set>
#include <string>
#include <vector>

#include "server/dto_keys_internal.h"
#include "server/http_server_internal.h"

namespace qn::dto {

// The values of a query are texts; these read them as what they mean.
Key query_number(std::optional<double>& into);
Key query_truth(bool& into);  ///< 1 or 0
Key repeated_key(std::vector<std::string>& into);
Key paper_key(std::string& into);  ///< a4 or letter

/// Puts each key of the query where it belongs.
///
/// address  whose keys these are in api.yaml, for messages
/// repeats  keys that may be there more than once
/// returns  BadInput naming the key: unknown, twice, or with a value of the wrong kind
std::optional<Error> put_query(const HttpRequest& request, const std::string& address,
                               const Keys& keys, const std::set<std::string>& repeats);

}  // namespace qn::dto
