// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <CLI/CLI.hpp>

#include "app/solve_swing.h"
#include "cli/place_options.h"

namespace qn {

/// How a swing was read: the same words in `swing solve` and `card`.
struct SwingReadOptions {
  SwingRequest request;
  PlaceOptions place;

  /// The request with the place put in.
  SwingRequest complete() const;
};

/// The options write into `options`, which must outlive the parse.
void add_swing_read_options(CLI::App& command, SwingReadOptions& options);

/// For those commands that speak of a compass as it was left.
void add_box_option(CLI::App& command, SwingReadOptions& options);

}  // namespace qn
