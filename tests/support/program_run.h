// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

namespace qn::test {

struct ProgramRun {
  int exit_code = -1;  ///< -1 when it did not end by itself
  std::string out, err;
};

/// Runs the built program through the shell with `words` after its name; redirections in `words`
/// work. QN_PROGRAM says which program.
ProgramRun run_program(const std::string& words);

}  // namespace qn::test
