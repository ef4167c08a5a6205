// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <map>
#include <string>
#include <vector>

/// A file of published values (docs/formats/check-file.md).
namespace qn::test {

struct CheckCase {
  int line = 0;
  std::map<std::string, double> input;
  std::map<std::string, double> result;  ///< empty for a `fails` line
  std::string error_kind;                ///< empty for a `case` line
};

struct CheckFile {
  std::string source;
  std::string data_path, data_sha256;
  std::vector<std::string> inputs, results;
  std::map<std::string, double> tolerance;
  std::vector<CheckCase> cases, fails;
};

/// name     file name in tests/published
/// throws   std::runtime_error, with file and line, so that the test fails and says where
CheckFile read_check_file(const std::string& name);

}  // namespace qn::test
