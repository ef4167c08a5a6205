// SPDX-License-Identifier: Apache-2.0
#include "support/program_run.h"

#include <sys/wait.h>
#include <unistd.h>

#include <cstdio>
#include <cstdlib>
#include <fstream>
#include <sstream>
#include <stdexcept>

namespace qn::test {

ProgramRun run_program(const std::string& words) {
  char err_path[] = "/tmp/qn_program_run_XXXXXX";
  const int err_file = mkstemp(err_path);
  if (err_file < 0) throw std::runtime_error("no temporary file for standard error");
  close(err_file);

  const std::string command =
      std::string{"\"" QN_PROGRAM "\" "} + words + " 2> " + err_path + " < /dev/null";
  FILE* pipe = popen(command.c_str(), "r");
  if (pipe == nullptr) throw std::runtime_error("cannot start " QN_PROGRAM);
  ProgramRun run;
  char block[4096];
  for (std::size_t got = 0; (got = std::fread(block, 1, sizeof block, pipe)) > 0;) {
    run.out.append(block, got);
  }
  const int status = pclose(pipe);
  if (WIFEXITED(status)) run.exit_code = WEXITSTATUS(status);

  std::stringstream err;
  err << std::ifstream(err_path).rdbuf();
  run.err = err.str();
  std::remove(err_path);
  return run;
}

}  // namespace qn::test
