// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <functional>

namespace qn {

/// Runs task(0) .. task(count - 1), in any order, perhaps at once, and returns when all are done.
/// Tasks must not depend on each other; whoever uses it joins partial results in index order, so
/// that an answer does not depend on the number of threads.
using ParallelFor =
    std::function<void(std::size_t count, const std::function<void(std::size_t)>& task)>;

/// One after the other on the calling thread.
inline void serial_for(std::size_t count, const std::function<void(std::size_t)>& task) {
  for (std::size_t i = 0; i < count; ++i) task(i);
}

}  // namespace qn
