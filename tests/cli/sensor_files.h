// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <catch2/catch.hpp>
#include <string>

#include "support/program_run.h"
#include "support/temporary_folder.h"

namespace qn::test {

/// A folder with one simulated scenario in it, and the words that solve it.
class SimulatedFolder {
 public:
  explicit SimulatedFolder(const std::string& scenario) {
    const auto run =
        run_program("sensor simulate --scenario " + scenario + " --seed 1 --out " + path(""));
    if (run.exit_code != 0) FAIL("the scenario was not made: " << run.err);
  }
  std::string path(const std::string& name) const { return folder_.path(name); }
  std::string write(const std::string& name, std::string_view bytes) const {
    return folder_.write(name, bytes);
  }
  std::string log() const { return path("log.csv"); }

 private:
  TemporaryFolder folder_;
};

/// Where and when the scenarios were "recorded".
inline const std::string kThere = " --at 49.3,10.2 --on 2026-05-14 ";

inline std::string bytes_of(const std::string& path) {
  std::ifstream file{path, std::ios::binary};
  return {std::istreambuf_iterator<char>{file}, {}};
}

inline bool says(const std::string& text, const std::string& words) {
  return text.find(words) != std::string::npos;
}

/// Refused with this exit code, nothing on stdout, and one complete block that holds `names`.
inline void check_refused(const ProgramRun& run, int exit_code, const std::string& names) {
  INFO(run.err);
  CHECK(run.exit_code == exit_code);
  CHECK(run.out.empty());
  CHECK(run.err.rfind("quietnorth: ", 0) == 0);
  for (const char* part : {"\n  where:    ", "\n  expected: ", "\n  do:       "}) {
    CHECK(says(run.err, part));
  }
  CHECK(says(run.err, names));
}

}  // namespace qn::test
