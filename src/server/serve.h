// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <functional>
#include <string>

#include "app/fit_sensor_log.h"
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

/// A server that has its port. `stop` may be called from any thread.
struct Listening {
  std::uint16_t port = 0;
  std::function<void()> stop;
};

struct ServeOptions {
  std::uint16_t port = 8230;                         ///< 0: any free one, see on_listening
  std::uint64_t upload_limit_bytes = 2'000'000'000;  ///< a recording larger than this is refused
  std::string folder;  ///< for recordings while it runs; empty: the system's
  Duration header_deadline = Duration::seconds(10);  ///< a request line and header must be in
  Duration idle_deadline = Duration::seconds(60);    ///< between requests, and between body pieces
  Duration write_deadline = Duration::seconds(15);   ///< a reader that takes nothing is dropped
  std::function<void(const Listening&)> on_listening;  ///< called once, when requests can come
  ServeUses uses;
};

/// Serves the page and its interface (api.yaml) on 127.0.0.1 until SIGINT, SIGTERM or `stop`, then
/// ends within a second and removes the recordings it was given. A fit that does not heed its
/// Progress in that time is left to the end of the process.
///
/// errors   Io when the port is taken or the folder cannot be made
Result<Done> serve(const ServeOptions& options);

}  // namespace qn
