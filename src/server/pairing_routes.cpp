// SPDX-License-Identifier: Apache-2.0
#include "server/pairing_routes.h"

#include <optional>
#include <string>
#include <utility>

#include "server/answers.h"
#include "server/dto_pairing.h"
#include "server/http_text_internal.h"

namespace qn {
namespace {

const std::string kPairing = "/api/pairing";

HttpResponse not_on_the_network() {
  return answer_error(
      404, Error{ErrorKind::BadInput, "this server is for this machine only", kPairing,
                 "a server that was started with --lan", "end it and start it again with --lan"});
}

HttpResponse shown(const NetworkSide& side) {
  return answer_json(
      200, pairing_json(side.invitation(), side.pairing().visitors(), side.pairing().now_s()));
}

HttpResponse change_pairing(const HttpRequest& request, NetworkSide& side) {
  if (request.path == kPairing) {
    if (request.method == "GET") return shown(side);
    if (request.method != "POST") return method_not_known(request, "GET or POST");
    const auto role = role_from_json(request.body);
    if (!role) return answer_error(role.error());
    side.invite(role.value());
    return shown(side);
  }
  if (request.method != "DELETE") return method_not_known(request, "DELETE");
  const std::string id = request.path.substr(kPairing.size() + 1);
  return side.pairing().revoke(id) ? shown(side) : no_such_thing("pairing", id);
}

// From the network, where only the status tells how it went.
HttpResponse enter(const HttpRequest& request, NetworkSide& side) {
  HttpResponse answer = nothing_to_see();
  const auto before = side.pairing().who(token_in(request.cookie));
  const auto order = pair_order_from_json(request.body);
  // What cannot be read counts as a wrong code, or it would be a way to ask without end.
  const auto entry = side.pairing().enter(order ? order.value().code : std::string{},
                                          order ? order.value().name : std::string{}, request.peer);
  if (entry.new_code) side.tell();
  if (entry.outcome == Pairing::Outcome::too_many) answer.status = 429;
  if (entry.outcome == Pairing::Outcome::paired) {
    answer.status = 204;
    answer.cookie = pairing_cookie(entry.token);
    if (before) side.pairing().supersede(before->id);  // the same device, in its new role
  }
  return answer;
}

HttpResponse certificate(const NetworkSide& side) {
  HttpResponse file;
  file.content_type = "application/x-x509-ca-cert";
  file.body = side.identity().kept.authority;
  file.file_name = "this-computer.crt";
  return file;
}

std::optional<HttpResponse> answer(const HttpRequest& request, NetworkSide* side) {
  if (request.path == "/api/pair" && request.from_network) return enter(request, *side);
  const bool pairing =
      request.path == kPairing || request.path.compare(0, kPairing.size() + 1, kPairing + "/") == 0;
  if (pairing && request.from_network) return nothing_to_see();  // the door has seen to it before
  if (pairing) return side == nullptr ? not_on_the_network() : change_pairing(request, *side);
  if (request.path == "/api/certificate" && request.method == "GET") {
    return side == nullptr ? not_on_the_network() : certificate(*side);
  }
  return std::nullopt;
}

}  // namespace

HttpHandlers with_pairing_routes(HttpHandlers inner, NetworkSide* side) {
  HttpHandlers outer = inner;
  outer.handle = [handle = inner.handle, side](HttpRequest request, const Reply& reply) {
    if (auto own = answer(request, side)) return reply(std::move(*own));
    handle(std::move(request), reply);
  };
  return outer;
}

}  // namespace qn
