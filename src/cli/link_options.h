// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <CLI/CLI.hpp>
#include <optional>
#include <string>
#include <vector>

#include "app/link_requests.h"

namespace qn {

/// The same words for links in every command. The options write into `options`, which must outlive
/// the parse.
struct LinkOptions {
  std::vector<std::string> addresses;
  DecoderWords decoding;
  std::optional<double> seconds;
  std::string root = "/";
};
void add_link_options(CLI::App& command, LinkOptions& options);

}  // namespace qn
