// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cctype>
#include <charconv>

#include "server/http_text_internal.h"

namespace qn {

std::string percent_decoded(const std::string& text) {
  std::string out;
  for (std::size_t i = 0; i < text.size(); ++i) {
    unsigned value = 0;
    if (text[i] == '%' && i + 2 < text.size() &&
        std::from_chars(&text[i + 1], &text[i + 1] + 2, value, 16).ptr == &text[i + 1] + 2) {
      out += static_cast<char>(static_cast<unsigned char>(value));
      i += 2;
    } else {
      out += text[i];
    }
  }
  return out;
}

void split_target(const std::string& target, std::string& path,
                  std::vector<std::pair<std::string, std::string>>& query) {
  const std::size_t mark = target.find('?');
  path = target.substr(0, mark);
  query.clear();
  std::size_t from = mark == std::string::npos ? target.size() : mark + 1;
  while (from < target.size()) {
    const std::size_t end = std::min(target.find('&', from), target.size());
    std::string part = target.substr(from, end - from);
    std::replace(part.begin(), part.end(), '+', ' ');
    const std::size_t equals = std::min(part.find('='), part.size());
    const std::string value = equals < part.size() ? part.substr(equals + 1) : std::string{};
    query.emplace_back(percent_decoded(part.substr(0, equals)), percent_decoded(value));
    from = end + 1;
  }
}

std::vector<std::pair<std::string, std::string>> safety_headers(const HttpResponse& response) {
  std::vector<std::pair<std::string, std::string>> headers = {
      {"Cache-Control", "no-store"},
      // No inline script or style, nothing from elsewhere, no frame around the page.
      {"Content-Security-Policy",
       !response.policy.empty()
           ? response.policy
           : "default-src 'self'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'; "
             "object-src 'none'"},
      {"X-Content-Type-Options", "nosniff"},
      {"Referrer-Policy", "no-referrer"},
      {"Cross-Origin-Resource-Policy", "same-origin"},
  };
  if (!response.content_type.empty()) {
    headers.emplace_back("Content-Type", response.content_type);
  }
  if (!response.cookie.empty()) headers.emplace_back("Set-Cookie", response.cookie);
  if (!response.file_name.empty()) {
    // Plain letters only: a quote or a line break in a header would end it.
    std::string name;
    for (const char c : response.file_name) {
      const auto u = static_cast<unsigned char>(c);
      name += std::isalnum(u) || c == '.' || c == '-' || c == '_' ? c : '-';
    }
    headers.emplace_back("Content-Disposition", "attachment; filename=\"" + name + "\"");
  }
  return headers;
}

HttpResponse nothing_to_see() {
  HttpResponse response;
  response.status = 403;
  response.content_type.clear();
  return response;
}

bool comes_from_here(const HttpRequest& request, std::uint16_t port) {
  for (const char* name : {"127.0.0.1:", "localhost:"}) {
    const std::string host = name + std::to_string(port);
    if (request.host != host) continue;
    if (request.method == "GET" || request.method == "HEAD") return true;
    if (!request.fetch_site.empty() && request.fetch_site != "same-origin" &&
        request.fetch_site != "none") {
      return false;
    }
    return request.origin.empty() || request.origin == "http://" + host;
  }
  return false;
}

}  // namespace qn
