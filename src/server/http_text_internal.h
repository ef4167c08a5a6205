// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <utility>
#include <vector>

#include "server/http_server_internal.h"

namespace qn {

/// "%C2%B5T" to "µT"; a broken escape stays as it is.
std::string percent_decoded(const std::string& text);

/// "/a?b=c&d=e" to its path and its decoded query.
void split_target(const std::string& target, std::string& path,
                  std::vector<std::pair<std::string, std::string>>& query);

/// Type, length of life and what the page may load: on every answer, so that none forgets.
std::vector<std::pair<std::string, std::string>> safety_headers(const HttpResponse& response);

/// A refusal that tells a stranger nothing: 403, no body, no type.
HttpResponse nothing_to_see();

/// Is this request one that this machine's own browser sends to this very server? Other web pages
/// can make a browser send requests here; they cannot make it lie about where they come from.
bool comes_from_here(const HttpRequest& request, std::uint16_t port);

}  // namespace qn
