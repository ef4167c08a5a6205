// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <cstdint>
#include <utility>
#include <vector>

#include "vocab/parallel.h"

namespace qn::accuracy {

/// score(seed) of first_seed, first_seed + 1, ..., in that order, as many at a time as `parallel`
/// is wide.
template <class Score>
auto scores_of(std::size_t cases, std::uint64_t first_seed, const ParallelFor& parallel,
               const Score& score) {
  std::vector<decltype(score(first_seed))> out(cases);
  parallel(cases, [&](std::size_t i) { out[i] = score(first_seed + i); });
  return out;
}

}  // namespace qn::accuracy
