// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <CLI/CLI.hpp>
#include <optional>
#include <string>

#include "app/fit_sensor_log.h"
#include "vocab/result.h"

namespace qn {

/// `--sheet FILE` and `--paper`, the same words in every command that draws one.
struct SheetOptions {
  std::optional<std::string> sheet;
  std::string paper = "a4";
  Paper size() const { return paper == "letter" ? Paper::letter : Paper::a4; }
};

/// The options write into `options`, which must outlive the parse.
void add_sheet_options(CLI::App& command, SheetOptions& options);

/// errors  OutOfRange naming --sheet: the file name ends neither in .pdf nor in .svg
Result<SheetFormat> sheet_format_of(const std::string& path);

}  // namespace qn
