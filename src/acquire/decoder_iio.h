// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <memory>

#include "acquire/decoder.h"

namespace qn {

/// Lines that our own reader of industrial-I/O sensors makes (transport_iio.h): raw counts with the
/// scales and offsets as the kernel printed them, so that nothing is lost by rounding.
///
/// iio,RAW_X,RAW_Y,RAW_Z,SCALE_X,SCALE_Y,SCALE_Z,OFFSET_X,OFFSET_Y,OFFSET_Z
///
/// source  the kernel's ABI documents (from memory): (raw + offset) * scale is in gauss; 1 G = 100
/// uT
std::unique_ptr<LineReader> iio_line_reader();

}  // namespace qn
