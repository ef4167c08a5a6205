// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <memory>
#include <string>

#include "acquire/chunk_source.h"
#include "acquire/transport.h"

namespace qn {

/// Plays what was recorded as if it came now. Event times are the recorded ones, counted from where
/// the playing began and not divided by the speed: at 1000x a run takes a thousandth of its time
/// and gives the same samples at the same times.
///
/// speed   1 to 1000
std::unique_ptr<Transport> replay_transport(std::string name, std::unique_ptr<ChunkSource> source,
                                            double speed);

}  // namespace qn
