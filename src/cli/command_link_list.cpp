// SPDX-License-Identifier: Apache-2.0
#include "cli/command_link_list.h"

#include <memory>
#include <string>

#include "app/list_links.h"
#include "cli/link_text.h"
#include "cli/terminal.h"

namespace qn {
namespace {

struct Options {
  std::string root = "/";
  bool json = false;
};

int run(const Options& options) {
  const LinkList list = list_links(options.root);
  return print_answer(options.json ? to_json(list) + "\n" : link_list_text(list));
}

}  // namespace

void add_link_list(CLI::App& link, int& exit_code) {
  auto options = std::make_shared<Options>();
  CLI::App* command = link.add_subcommand("list", "which ports and sensors this computer has");
  command->add_flag("--json", options->json, "print one JSON document");
  command->add_option("--root", options->root, "where /sys and /dev are looked for")->group("");
  command->callback([options, &exit_code] { exit_code = run(*options); });
}

}  // namespace qn
