// SPDX-License-Identifier: Apache-2.0
#include "server/worker.h"

#include <chrono>
#include <condition_variable>
#include <deque>
#include <mutex>
#include <thread>
#include <utility>

namespace qn {

struct Worker::State {
  std::mutex mutex;
  std::condition_variable changed;
  std::deque<std::function<void()>> waiting;
  bool ending = false;
  bool ended = false;
  std::thread thread;

  void run() {
    std::unique_lock lock{mutex};
    for (;;) {
      changed.wait(lock, [this] { return ending || !waiting.empty(); });
      if (ending) break;
      auto task = std::move(waiting.front());
      waiting.pop_front();
      lock.unlock();
      task();
      task = nullptr;  // what it owned goes before the lock is taken again
      lock.lock();
    }
    ended = true;
    changed.notify_all();
  }
};

Worker::Worker() : state_{std::make_shared<State>()} {
  state_->thread = std::thread{[state = state_] { state->run(); }};
}

Worker::~Worker() { end_within(Duration::seconds(0.3)); }

void Worker::post(std::function<void()> task) {
  const std::lock_guard lock{state_->mutex};
  if (state_->ending) return;
  state_->waiting.push_back(std::move(task));
  state_->changed.notify_all();
}

void Worker::end_within(Duration time) {
  std::unique_lock lock{state_->mutex};
  if (!state_->thread.joinable()) return;
  state_->ending = true;
  std::deque<std::function<void()>> dropped = std::exchange(state_->waiting, {});
  state_->changed.notify_all();
  const bool ended = state_->changed.wait_for(lock, std::chrono::duration<double>(time.in_s()),
                                              [this] { return state_->ended; });
  lock.unlock();
  if (ended) {
    state_->thread.join();
  } else {
    state_->thread.detach();
  }
}

}  // namespace qn
