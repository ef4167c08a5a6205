// SPDX-License-Identifier: Apache-2.0
#include "server/serve.h"

#include <utility>

#include "server/http_server_internal.h"
#include "server/routes.h"
#include "server/scratch_folder.h"

namespace qn {

Result<Done> serve(const ServeOptions& options) {
  auto folder = ScratchFolder::make(options.folder);
  if (!folder) return folder.error();
  Routes routes{options, std::move(folder).value()};
  HttpServer server{options, routes.handlers()};
  const auto port = server.open();
  if (!port) return port.error();
  routes.listening_on(port.value());
  if (options.on_listening) options.on_listening({port.value(), [&server] { server.stop(); }});
  server.run();
  routes.stop();
  return Done{};
}

}  // namespace qn
