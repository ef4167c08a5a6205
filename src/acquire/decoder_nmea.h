// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <memory>

#include "acquire/decoder.h"

namespace qn {

/// NMEA 0183 sentences of any talker: HDG, HDM, HDT, XDR, RMC, VTG, GGA (docs/formats/links.md).
/// Anything before the $ is passed over. A wrong checksum throws the sentence away, a missing one
/// is counted.
///
/// source  the sentences as commonly printed (from memory)
std::unique_ptr<LineReader> nmea_line_reader();

}  // namespace qn
