// SPDX-License-Identifier: Apache-2.0
#include "cli/command_serve.h"

#include <fmt/format.h>
#include <unistd.h>

#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <memory>
#include <optional>
#include <string>
#include <utility>

#include "cli/lan_text.h"
#include "cli/line_watch.h"
#include "cli/live_run_options.h"
#include "cli/terminal.h"
#include "server/serve.h"

namespace qn {
namespace {

struct ServeCommand {
  long long port = 8230;
  double upload_limit_MB = 2000.0;
  bool lan = false;
  long long lan_port = 8231;
  std::optional<std::string> book;
  LiveRunOptions live;
};

Error no_such_port(long long port, const std::string& option) {
  return Error{ErrorKind::OutOfRange, fmt::format("port {}", port), "option " + option,
               "a number from 1024 to 65535, or 0 for any free one",
               "choose another port; nothing was started"};
}

Coloured colours_of_terminal() {
  const char* no_color = std::getenv("NO_COLOR");
  const bool declined = no_color != nullptr && *no_color != '\0';
  return !declined && ::isatty(STDOUT_FILENO) == 1 ? Coloured::yes : Coloured::no;
}

/// Serves, and says on the terminal what is needed to come in.
int serve_and_tell(ServeOptions options) {
  int printed = kExitDone;
  Listening open;
  std::optional<LineWatch> keys;
  const auto print = [&](const std::string& text) {
    if (printed == kExitDone) printed = print_answer(text);
    if (printed != kExitDone) open.stop();
  };
  if (options.lan) {
    options.lan->on_invitation = [&](const Invitation& invitation) {
      print(lan_text(invitation, colours_of_terminal()));
    };
  }
  options.on_listening = [&](const Listening& listening) {
    open = listening;
    print(fmt::format("The page is at http://127.0.0.1:{}/ for this machine{}. Ctrl-C ends it.\n",
                      open.port, open.lan_port == 0 ? " only" : ""));
    if (open.lan_port == 0) return;
    if (::isatty(STDIN_FILENO) == 1) {
      print(
          "Enter gives a new code for a device that operates, L and Enter for one that looks "
          "on.\n");
    }
    keys.emplace([invite = open.invite](const std::string& line) {
      invite(line == "l" || line == "L" ? Role::look_on : Role::operate);
    });
  };
  // On the other stream: a made-up aircraft's truth is no answer.
  options.on_answered = [](const RunSession& session) {
    std::fputs(session.truth_text().c_str(), stderr);
  };
  const auto served = serve(options);
  return served ? printed : print_error(served.error());
}

int start(const ServeCommand& command) {
  if (command.port < 0 || command.port > 65535) {
    return print_error(no_such_port(command.port, "--port"));
  }
  if (command.lan_port < 0 || command.lan_port > 65535) {
    return print_error(no_such_port(command.lan_port, "--lan-port"));
  }
  if (!(command.upload_limit_MB >= 1.0 && command.upload_limit_MB <= 1e6)) {
    return print_error(Error{ErrorKind::OutOfRange, fmt::format("{} MB", command.upload_limit_MB),
                             "option --upload-limit-MB", "a number from 1 to 1000000",
                             "choose another limit; nothing was started"});
  }
  ServeOptions options;
  options.port = static_cast<std::uint16_t>(command.port);
  options.upload_limit_bytes = static_cast<std::uint64_t>(command.upload_limit_MB * 1e6);
  if (command.lan) {
    options.lan.emplace();
    options.lan->port = static_cast<std::uint16_t>(command.lan_port);
  }
  options.book = command.book;
  if (command.live.any()) {
    if (!command.book) {
      return print_error(Error{ErrorKind::OutOfRange, "a run is asked for, and no book is named",
                               "option --book", "the aircraft's book, which keeps the run",
                               "add --book FILE; nothing was started"});
    }
    auto request = command.live.request(*command.book);
    if (!request) return print_error(request.error());
    options.run = std::move(request).value();
  }
  return serve_and_tell(std::move(options));
}

}  // namespace

void add_serve_command(CLI::App& program, int& exit_code) {
  auto options = std::make_shared<ServeCommand>();
  CLI::App* command = program.add_subcommand(
      "serve",
      "the same work on a page in the browser, for this machine or with --lan for paired ones");
  command->add_option("--port", options->port, "port on 127.0.0.1; 0 takes any free one")
      ->capture_default_str();
  command->add_flag("--lan", options->lan,
                    "also for devices in the same network: under TLS, each paired by a code");
  command->add_option("--lan-port", options->lan_port, "port for them; 0 takes any free one")
      ->capture_default_str();
  command
      ->add_option("--upload-limit-MB", options->upload_limit_MB,
                   "largest recording that the page may bring, in megabytes")
      ->capture_default_str();
  command->add_option("--book", options->book,
                      "the aircraft's book: live runs can be begun on the page");
  add_live_run_options(*command, options->live);
  command->callback([options, &exit_code] { exit_code = start(*options); });
}

}  // namespace qn
