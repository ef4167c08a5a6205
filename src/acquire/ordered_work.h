// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <algorithm>
#include <condition_variable>
#include <cstddef>
#include <exception>
#include <map>
#include <mutex>
#include <system_error>
#include <thread>
#include <utility>
#include <vector>

namespace qn {

/// Does work(index, item) for 0 .. count - 1 on several threads, and consume(item) one at a time in
/// the order of the index, so that the outcome does not depend on the number of threads. Items are
/// used again, and at most a few per thread are alive. The calling thread works too.
///
/// consume  returns false to stop everything
/// throws   what work or consume threw first, after all threads have ended
template <class Item, class Work, class Consume>
void work_in_order(std::size_t count, unsigned threads, const Work& work, const Consume& consume) {
  std::mutex mutex;
  std::condition_variable room;
  std::size_t to_take = 0;
  std::size_t to_consume = 0;
  bool stopped = false;
  std::exception_ptr trouble;
  std::map<std::size_t, Item> finished;
  std::vector<Item> spare;
  const std::size_t ahead = 4 * std::size_t{std::max(threads, 1u)};

  const auto finish = [&](std::size_t index, Item&& item) {  // mutex held
    finished.emplace(index, std::move(item));
    while (!stopped && !finished.empty() && finished.begin()->first == to_consume) {
      auto first = finished.begin();
      if (!consume(first->second)) stopped = true;
      spare.push_back(std::move(first->second));
      finished.erase(first);
      ++to_consume;
    }
  };
  const auto run = [&] {
    std::unique_lock lock{mutex};
    for (;;) {
      room.wait(lock, [&] { return stopped || to_take >= count || to_take < to_consume + ahead; });
      if (stopped || to_take >= count) return;
      const std::size_t index = to_take++;
      try {
        Item item;
        if (!spare.empty()) {
          item = std::move(spare.back());
          spare.pop_back();
        }
        lock.unlock();
        work(index, item);
        lock.lock();
        finish(index, std::move(item));
      } catch (...) {
        if (!lock.owns_lock()) lock.lock();
        if (!trouble) trouble = std::current_exception();
        stopped = true;
      }
      room.notify_all();
    }
  };

  std::vector<std::thread> helpers;
  const auto wanted = std::min<std::size_t>(std::max(threads, 1u), count);
  helpers.reserve(wanted);  // growing while threads run could throw past them
  const auto start_helper = [&] {
    try {
      helpers.emplace_back(run);
      return true;
    } catch (const std::system_error&) {
      return false;  // no more threads to be had: the ones there are do the work
    }
  };
  bool more = true;
  while (more && helpers.size() + 1 < wanted) more = start_helper();
  run();
  for (std::thread& helper : helpers) helper.join();
  if (trouble) std::rethrow_exception(trouble);
}

/// 0 means as many as the machine has.
inline unsigned thread_count(unsigned asked) {
  return asked != 0 ? asked : std::max(1u, std::thread::hardware_concurrency());
}

}  // namespace qn
