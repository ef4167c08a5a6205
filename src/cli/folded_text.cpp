// SPDX-License-Identifier: Apache-2.0
#include "cli/folded_text.h"

#include <sstream>

namespace qn {
namespace {

constexpr std::size_t kNameColumns = 30;  // where descriptions start, as the library has it

// The library itself indents what follows a line break.
std::string description(const std::string& text) {
  return folded(text, kTerminalColumns - kNameColumns);
}

void fold_line(const std::string& line, std::size_t columns, std::string& out) {
  std::istringstream words(line);
  std::size_t used = 0;
  for (std::string word; words >> word;) {
    if (used > 0 && used + 1 + word.size() > columns) {
      out += '\n';
      used = 0;
    }
    if (used > 0) out += ' ';
    used += word.size() + (used > 0 ? 1 : 0);
    out += word;
  }
}

}  // namespace

std::string folded(const std::string& text, std::size_t columns) {
  std::istringstream lines(text);
  std::string out;
  bool first = true;
  for (std::string line; std::getline(lines, line); first = false) {
    if (!first) out += '\n';
    fold_line(line, columns, out);
  }
  return out;
}

std::string FoldedHelp::make_option_desc(const CLI::Option* option) const {
  return description(CLI::Formatter::make_option_desc(option));
}

std::string FoldedHelp::make_subcommand(const CLI::App* command) const {
  std::ostringstream out;
  CLI::detail::format_help(out, command->get_name(), description(command->get_description()),
                           kNameColumns);
  return out.str();
}

std::string FoldedHelp::make_description(const CLI::App* command) const {
  return folded(CLI::Formatter::make_description(command)) + "\n";
}

std::string listed(const std::string& text) {
  std::string out = "  - ";
  for (const char c : folded(text, kTerminalColumns - 4)) {
    out += c;
    if (c == '\n') out += "    ";
  }
  return out + "\n";
}

std::string without_trailing_spaces(const std::string& text) {
  std::string out;
  for (const char c : text) {
    while (c == '\n' && !out.empty() && out.back() == ' ') out.pop_back();
    out += c;
  }
  return out;
}

}  // namespace qn
