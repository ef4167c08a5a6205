// SPDX-License-Identifier: Apache-2.0
#include "server/serve.h"

#include <utility>

#include "server/http_server_internal.h"
#include "server/network_side.h"
#include "server/pairing_routes.h"
#include "server/routes.h"
#include "server/scratch_folder.h"

namespace qn {
namespace {

Result<std::uint16_t> open_to_network(HttpServer& server, NetworkSide& side,
                                      const LanOptions& lan) {
  auto port = server.open_to_network(lan.port, side.identity().kept);
  if (!port) return port;
  side.opened_on(port.value());
  side.pairing().on_gone = [&server](const std::string& id) { server.end_visitor(id); };
  server.every(lan.look_around, [&server, &side] {
    if (!side.look_around()) return;
    // Refused, the one before goes on being shown.
    static_cast<void>(server.show_certificate(side.identity().kept));
  });
  return port;
}

}  // namespace

Result<Done> serve(const ServeOptions& options) {
  auto folder = ScratchFolder::make(options.folder);
  if (!folder) return folder.error();
  std::unique_ptr<NetworkSide> side;
  if (options.lan) {
    auto made = NetworkSide::make(*options.lan);
    if (!made) return made.error();
    side = std::move(made).value();
  }
  Routes routes{options, std::move(folder).value()};
  HttpHandlers handlers = with_pairing_routes(routes.handlers(), side.get());
  if (side) handlers = side->before(std::move(handlers));
  HttpServer server{options, std::move(handlers)};
  const auto port = server.open();
  if (!port) return port.error();
  routes.listening_on(port.value());
  Listening listening;
  listening.port = port.value();
  listening.stop = [&server] { server.stop(); };
  if (side) {
    const auto lan_port = open_to_network(server, *side, *options.lan);
    if (!lan_port) return lan_port.error();
    listening.lan_port = lan_port.value();
    listening.invite = [post = server.poster(), side = side.get()](Role role) {
      post([side, role] { side->invite(role); });
    };
  }
  if (options.run) {
    if (auto begun = routes.begin_run(*options.run); !begun) return begun.error();
  }
  if (options.on_listening) options.on_listening(listening);
  if (side) side->invite(Role::operate);
  server.run();
  routes.stop();
  return Done{};
}

}  // namespace qn
