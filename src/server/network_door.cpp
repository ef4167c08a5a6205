// SPDX-License-Identifier: Apache-2.0
#include "server/network_door.h"

#include <algorithm>
#include <string_view>
#include <utility>

#include "server/answers.h"
#include "server/http_text_internal.h"
#include "server/pairing_page.h"
#include "vocab/letters.h"

namespace qn {
namespace {

bool under(const std::string& path, std::string_view place) {
  return path == place || (path.size() > place.size() &&
                           path.compare(0, place.size(), place) == 0 && path[place.size()] == '/');
}

bool enters_code(const HttpRequest& request) {
  return request.method == "POST" && request.path == "/api/pair";
}

HttpResponse too_many_requests() {
  return answer_error(429, Error{ErrorKind::Io, "too many requests from this device", "this server",
                                 "a few in a second", "wait some seconds and go on"});
}

HttpResponse may_not(const std::string& what, const std::string& remedy) {
  return answer_error(403, Error{ErrorKind::BadInput, what, "this device's pairing",
                                 "what its role allows", remedy});
}

}  // namespace

void NetworkDoor::open_for(const OwnNames& names, std::uint16_t port) {
  hosts_.clear();
  const std::string end = ":" + std::to_string(port);
  for (const auto& address : names.addresses) hosts_.push_back(address + end);
  for (const auto& name : names.names) hosts_.push_back(lower_case(name) + end);
}

HttpHandlers NetworkDoor::before(HttpHandlers inner) {
  HttpHandlers outer = inner;
  outer.refuse = [this, refuse = inner.refuse](HttpRequest& request) {
    return request.from_network ? judge(request) : refuse(request);
  };
  outer.body_place = [this, place = inner.body_place](const HttpRequest& request) {
    if (!request.from_network) return place(request);
    if (request.method == "GET") return std::pair{std::uint64_t{0}, std::string{}};
    if (enters_code(request)) return std::pair{limits_.stranger_bytes, std::string{}};
    auto [limit, file] = place(request);
    return std::pair{std::min(limit, file.empty() ? most_bytes(request) : limits_.recording_bytes),
                     file};
  };
  return outer;
}

std::uint64_t NetworkDoor::most_bytes(const HttpRequest& request) const {
  const bool run = under(request.path, "/api/run") || under(request.path, "/api/runs");
  return run ? limits_.run_bytes : limits_.text_bytes;
}

std::optional<HttpResponse> NetworkDoor::judge(HttpRequest& request) {
  // By this, and not by the certificate, a page elsewhere whose name leads here is kept out: its
  // visitors' browsers send its own name.
  const std::string host = lower_case(request.host);
  if (std::find(hosts_.begin(), hosts_.end(), host) == hosts_.end()) return nothing_to_see();
  const auto visitor = pairing_.who(token_in(request.cookie));
  if (!visitor) {
    if (unpaired_.take(request.peer, pairing_.now_s())) return judge_stranger(request);
    HttpResponse enough = nothing_to_see();
    enough.status = 429;
    return enough;
  }
  request.visitor = visitor->id;
  request.role = visitor->role;
  if (!paired_.take(request.peer, pairing_.now_s())) return too_many_requests();
  return judge_visitor(request);
}

bool NetworkDoor::same_origin(const HttpRequest& request) const {
  return request.origin == "https://" + lower_case(request.host) &&
         (request.fetch_site.empty() || request.fetch_site == "same-origin");
}

std::optional<HttpResponse> NetworkDoor::judge_stranger(const HttpRequest& request) const {
  if (request.method == "GET" && request.path == "/") return pairing_page();
  if (enters_code(request) && same_origin(request)) return std::nullopt;
  return nothing_to_see();
}

std::optional<HttpResponse> NetworkDoor::judge_visitor(const HttpRequest& request) const {
  if (under(request.path, "/api/pairing")) {
    return may_not("who is paired is seen and changed on the host itself only",
                   "do it on the computer that serves this page");
  }
  if (request.method == "GET") return std::nullopt;
  if (!same_origin(request)) {
    return may_not("the request comes from '" + request.origin + "'",
                   "open https://" + request.host + "/ and work from there");
  }
  if (request.role == Role::look_on && !enters_code(request)) {
    return may_not("this device looks on and changes nothing",
                   "pair it again with a code that lets it operate");
  }
  return std::nullopt;
}

std::string pairing_cookie(const std::string& token) {
  return std::string{kPairingCookie} + "=" + token +
         "; Path=/; Secure; HttpOnly; SameSite=Strict; Max-Age=" +
         std::to_string(static_cast<long>(Pairing::kVisitLife_s));
}

std::string token_in(const std::string& cookies) {
  const std::string start = std::string{kPairingCookie} + "=";
  for (std::size_t from = 0; from < cookies.size();) {
    while (from < cookies.size() && cookies[from] == ' ') ++from;
    const std::size_t end = std::min(cookies.find(';', from), cookies.size());
    if (cookies.compare(from, start.size(), start) == 0) {
      return cookies.substr(from + start.size(), end - from - start.size());
    }
    from = end + 1;
  }
  return {};
}

}  // namespace qn
