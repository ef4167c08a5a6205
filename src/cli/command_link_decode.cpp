// SPDX-License-Identifier: Apache-2.0
#include "cli/command_link_decode.h"

#include <memory>
#include <string>

#include "app/decoded_log.h"
#include "cli/link_text.h"
#include "cli/terminal.h"

namespace qn {
namespace {

struct Options {
  std::string path, csv_path;
  DecodedLogOptions log;
};

int run(const Options& options) {
  const auto log = decode_link_recording(options.path, options.csv_path, options.log);
  if (!log) return print_error(log.error());
  return print_answer(decoded_log_text(log.value(), options.csv_path));
}

}  // namespace

void add_link_decode(CLI::App& link, int& exit_code) {
  auto options = std::make_shared<Options>();
  CLI::App* command = link.add_subcommand(
      "decode", "make the sensor log of a link recording, also of a broken one");
  command->add_option("RECORDING", options->path, "as 'link record' wrote it")->required();
  command->add_option("--csv", options->csv_path, "the sensor log to write")->required();
  command->add_option("--rows-of-link", options->log.rows_of_link,
                      "the link whose samples are the log's rows");
  command->callback([options, &exit_code] { exit_code = run(*options); });
}

}  // namespace qn
