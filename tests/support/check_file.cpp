// SPDX-License-Identifier: Apache-2.0
#include "support/check_file.h"

#include <fstream>
#include <sstream>
#include <stdexcept>

namespace qn::test {
namespace {

struct Reader {
  std::string name;
  int line = 0;
  CheckFile file;

  [[noreturn]] void fail(const std::string& why) const {
    throw std::runtime_error(name + ", line " + std::to_string(line) + ": " + why);
  }

  static std::string rest_of(std::istringstream& words) {
    std::string rest;
    std::getline(words >> std::ws, rest);
    return rest;
  }

  double number(std::istringstream& words) const {
    double value = 0.0;
    if (!(words >> value)) fail("a number is missing or is not one");
    return value;
  }

  void read_columns(std::istringstream& words) {
    std::vector<std::string>* side = &file.inputs;
    for (std::string word; words >> word;) {
      if (word == "->") {
        side = &file.results;
      } else {
        side->push_back(word);
      }
    }
    if (file.inputs.empty() || file.results.empty()) fail("expected: columns inputs -> results");
  }

  void read_tolerance(std::istringstream& words) {
    std::string column;
    words >> column;
    file.tolerance[column] = number(words);
    if (rest_of(words).empty()) fail("the tolerance of " + column + " gives no reason");
  }

  CheckCase read_row(std::istringstream& words, bool fails) const {
    CheckCase row;
    row.line = line;
    for (const auto& column : file.inputs) row.input[column] = number(words);
    if (fails) {
      std::string arrow;
      if (!(words >> arrow >> row.error_kind) || arrow != "->") fail("expected: inputs -> kind");
    } else {
      for (const auto& column : file.results) row.result[column] = number(words);
    }
    if (!rest_of(words).empty()) fail("more cells than columns");
    return row;
  }

  void read_line(const std::string& text) {
    std::istringstream words(text);
    std::string word;
    if (!(words >> word) || word[0] == '#') return;
    if (word == "source") {
      file.source = rest_of(words);
    } else if (word == "data") {
      std::string sha256;
      if (!(words >> file.data_path >> sha256 >> file.data_sha256) || sha256 != "sha256") {
        fail("expected: data PATH sha256 DIGEST");
      }
    } else if (word == "columns") {
      read_columns(words);
    } else if (word == "tolerance") {
      read_tolerance(words);
    } else if (word == "case") {
      file.cases.push_back(read_row(words, false));
    } else if (word == "fails") {
      file.fails.push_back(read_row(words, true));
    } else {
      fail("unknown word '" + word + "'");
    }
  }
};

}  // namespace

CheckFile read_check_file(const std::string& name) {
  Reader reader;
  reader.name = name;
  std::ifstream stream(std::string{QN_SOURCE_DIR} + "/tests/published/" + name);
  if (!stream) reader.fail("cannot be opened");
  for (std::string text; std::getline(stream, text);) {
    ++reader.line;
    reader.read_line(text);
  }
  const CheckFile& file = reader.file;
  if (file.source.empty()) reader.fail("no source");
  if (file.cases.empty() && file.fails.empty()) reader.fail("no case");
  for (const auto& column : file.results) {
    if (file.tolerance.count(column) == 0) reader.fail("no tolerance for " + column);
  }
  return reader.file;
}

}  // namespace qn::test
