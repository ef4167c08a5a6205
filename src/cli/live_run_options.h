// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <CLI/CLI.hpp>
#include <optional>
#include <string>
#include <vector>

#include "app/link_requests.h"
#include "app/run_session.h"
#include "cli/place_options.h"

namespace qn {

/// The same words for a live run in `run` and `serve`.
struct LiveRunOptions {
  std::vector<std::string> addresses;
  DecoderWords decoding;
  LiveRunRequest run;
  PlaceOptions place;
  MeasuredFieldOptions measured;
  std::optional<std::size_t> turn;
  std::optional<int> swing;
  std::vector<std::string> compasses;  ///< NAME or NAME:LIMIT
  std::optional<std::string> loads;
  std::optional<std::uint64_t> rehearse;
  RehearsalRequest rehearsal;

  bool any() const { return !addresses.empty() || rehearse.has_value() || run.go_on; }
  /// errors  OutOfRange: links or decoders that cannot be
  Result<RunSessionRequest> request(const std::string& book_path) const;
};
/// The options write into `options`, which must outlive the parse.
void add_live_run_options(CLI::App& command, LiveRunOptions& options);

}  // namespace qn
