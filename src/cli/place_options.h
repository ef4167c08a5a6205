// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <CLI/CLI.hpp>
#include <optional>
#include <string>

namespace qn {

/// The same words for the Earth's field in every command. Judged by app/place.h, not here, so
/// that the page refuses the same values with the same sentence.
struct PlaceOptions {
  std::optional<std::string> at;
  std::optional<std::string> on;
};

struct MeasuredFieldOptions {
  std::optional<double> horizontal_uT;
  std::optional<double> vertical_uT;
};

/// The options write into `options`, which must outlive the parse.
void add_place_options(CLI::App& command, PlaceOptions& options);
void add_measured_field_options(CLI::App& command, MeasuredFieldOptions& options);

}  // namespace qn
