// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "procedure/sensor_model_internal.h"

namespace qn::sensor_model {

/// The size rows of fill_rows for Attitude::unknown, where nothing but the size of the field
/// counts. The same numbers, but for the last digit, in a form that the compiler turns into vector
/// instructions: long recordings spend most of their time here.
void fill_size_rows(const Log& log, const Layout& layout, const Parameters& theta, double variance,
                    std::size_t begin, std::size_t stride, RowBlock& rows);

}  // namespace qn::sensor_model
