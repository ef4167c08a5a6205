// SPDX-License-Identifier: Apache-2.0
#include "cli/command_serve.h"

#include <fmt/format.h>

#include <cstdint>
#include <memory>
#include <string>

#include "cli/terminal.h"
#include "server/serve.h"

namespace qn {
namespace {

struct ServeCommand {
  long long port = 8230;
  double upload_limit_MB = 2000.0;
};

int run(const ServeCommand& command) {
  if (command.port < 0 || command.port > 65535) {
    return print_error(Error{ErrorKind::OutOfRange, fmt::format("port {}", command.port),
                             "option --port", "a number from 1024 to 65535, or 0 for any free one",
                             "choose another port; nothing was started"});
  }
  if (!(command.upload_limit_MB >= 1.0 && command.upload_limit_MB <= 1e6)) {
    return print_error(Error{ErrorKind::OutOfRange, fmt::format("{} MB", command.upload_limit_MB),
                             "option --upload-limit-MB", "a number from 1 to 1000000",
                             "choose another limit; nothing was started"});
  }
  ServeOptions options;
  options.port = static_cast<std::uint16_t>(command.port);
  options.upload_limit_bytes = static_cast<std::uint64_t>(command.upload_limit_MB * 1e6);
  int printed = kExitDone;
  options.on_listening = [&printed](const Listening& listening) {
    printed = print_answer(
        fmt::format("The page is at http://127.0.0.1:{}/ for this machine only. Ctrl-C ends it.\n",
                    listening.port));
    if (printed != kExitDone) listening.stop();
  };
  const auto served = serve(options);
  return served ? printed : print_error(served.error());
}

}  // namespace

void add_serve_command(CLI::App& program, int& exit_code) {
  auto options = std::make_shared<ServeCommand>();
  CLI::App* command = program.add_subcommand(
      "serve", "the same work on a page in the browser, for this machine only");
  command->add_option("--port", options->port, "port on 127.0.0.1; 0 takes any free one")
      ->capture_default_str();
  command
      ->add_option("--upload-limit-MB", options->upload_limit_MB,
                   "largest recording that the page may bring, in megabytes")
      ->capture_default_str();
  command->callback([options, &exit_code] { exit_code = run(*options); });
}

}  // namespace qn
