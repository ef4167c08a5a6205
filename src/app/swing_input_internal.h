// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <vector>

#include "app/swing_input.h"

namespace qn {

/// Which north the stations are from, as the options say.
struct SwingNorth {
  bool stations_true = false;
  std::optional<double> variation_deg;
};

/// Puts where the marks point in the place of the stations of `file`, and what was done into the
/// source and the options of `input`.
/// errors  those of read_rose_file and stand_on_rose; OutOfRange naming --rose
std::optional<Error> take_rose(const SwingRequest& request, const SwingNorth& north,
                               SwingFile& file, SwingInput& input);

/// errors  OutOfRange naming --box-corrected: no NAME=DATE, no day, no compass of that name
std::optional<Error> take_box_corrections(const SwingRequest& request,
                                          const std::vector<SwingReading>& readings,
                                          SwingSource& source);

}  // namespace qn
