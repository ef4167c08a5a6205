// SPDX-License-Identifier: Apache-2.0
#include "app/parallel.h"

#include <algorithm>
#include <atomic>
#include <thread>
#include <vector>

namespace qn {

ParallelFor parallel_over_cores() {
  return [](std::size_t count, const std::function<void(std::size_t)>& task) {
    const std::size_t cores = std::max(1U, std::thread::hardware_concurrency());
    const std::size_t helpers = std::min(cores, count) - (count > 0 ? 1 : 0);
    std::atomic<std::size_t> next{0};
    const auto work = [&] {
      for (std::size_t i = next++; i < count; i = next++) task(i);
    };
    std::vector<std::jthread> threads;
    for (std::size_t i = 0; i < helpers; ++i) threads.emplace_back(work);
    work();
  };
}

}  // namespace qn
