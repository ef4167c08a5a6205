// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <functional>
#include <optional>
#include <string>

#include "app/fit_sensor_log.h"
#include "app/run_session.h"
#include "server/lan_options.h"
#include "server/role.h"
#include "vocab/result.h"
#include "vocab/time.h"

namespace qn {

/// What the page's server asks of the program. The defaults are the real functions; a test puts
/// others in their place to see what the server does with slow, failing and endless work.
struct ServeUses {
  std::function<Result<FitDocument>(const FitRequest&, const Progress&)> fit = fit_sensor_log;
  std::function<std::string(const FitDocument&)> document_json = [](const FitDocument& document) {
    return to_json(document);
  };
  std::function<Result<std::string>(const FitDocument&, SheetFormat, Paper)> sheet =
      sensor_fit_sheet;
};

/// A server that has its port. The functions may be called from any thread.
struct Listening {
  std::uint16_t port = 0;
  std::function<void()> stop;
  std::uint16_t lan_port = 0;        ///< 0: not open to the network
  std::function<void(Role)> invite;  ///< a new code, see on_invitation; empty without `lan`
};

struct ServeOptions {
  std::uint16_t port = 8230;                         ///< 0: any free one, see on_listening
  std::uint64_t upload_limit_bytes = 2'000'000'000;  ///< a recording larger than this is refused
  std::string folder;  ///< for recordings while it runs; empty: the system's
  Duration header_deadline = Duration::seconds(10);  ///< a request line and header must be in
  Duration idle_deadline = Duration::seconds(60);    ///< between requests, and between body pieces
  Duration write_deadline = Duration::seconds(15);   ///< a reader that takes nothing is dropped
  Duration handshake_deadline = Duration::seconds(5);  ///< TLS must be agreed on
  Duration stream_pulse = Duration::seconds(10);       ///< a silent stream says that it is alive
  std::function<void(const Listening&)> on_listening;  ///< called once, when requests can come
  ServeUses uses;
  std::optional<LanOptions> lan;    ///< none: for this machine only
  std::optional<std::string> book;  ///< the aircraft's book, for live runs; none: no live runs
  /// Told when a run was answered, on a thread of its own.
  std::function<void(const RunSession&)> on_answered;
  std::optional<RunSessionRequest> run;  ///< begun at once; its book is the one above
};

/// Serves the page and its interface (api.yaml) on 127.0.0.1, and with `lan` to paired devices of
/// the network, until SIGINT, SIGTERM or `stop`, then ends within a second and removes the
/// recordings it was given. A fit that does not heed its Progress in that time is left to the end
/// of the process.
///
/// errors   Io when a port is taken, the folder cannot be made or the key cannot be kept; those of
///          RunSession when a run is to be begun
Result<Done> serve(const ServeOptions& options);

}  // namespace qn
