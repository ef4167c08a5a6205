// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <CLI/CLI.hpp>
#include <cstddef>
#include <string>

namespace qn {

inline constexpr std::size_t kTerminalColumns = 80;

/// Breaks `text` between words so that no line is longer than `columns`. A word longer than that
/// stays whole; line breaks of the text are kept.
std::string folded(const std::string& text, std::size_t columns = kTerminalColumns);

/// "  - text", folded, with its further lines indented.
std::string listed(const std::string& text);

std::string without_trailing_spaces(const std::string& text);

/// The help pages, folded to the terminal's 80 columns.
class FoldedHelp : public CLI::Formatter {
 public:
  std::string make_option_desc(const CLI::Option* option) const override;
  std::string make_subcommand(const CLI::App* command) const override;
  std::string make_description(const CLI::App* command) const override;
};

}  // namespace qn
