// SPDX-License-Identifier: Apache-2.0
#include "server/recording_shelf.h"

#include <cstdio>
#include <random>
#include <utility>

namespace qn {

std::string new_id() {
  static_assert(sizeof(std::random_device::result_type) == 4);
  std::random_device random;
  char text[25];
  std::snprintf(text, sizeof text, "%08x%08x%08x", random(), random(), random());
  return text;
}

void RecordingShelf::put(std::shared_ptr<const KeptRecording> recording) {
  std::shared_ptr<const KeptRecording> oldest;  // let go after the lock: it may remove a big file
  const std::lock_guard lock{mutex_};
  kept_.push_back(std::move(recording));
  if (kept_.size() <= kMost) return;
  oldest = std::move(kept_.front());
  kept_.pop_front();
}

std::shared_ptr<const KeptRecording> RecordingShelf::find(const std::string& id) const {
  const std::lock_guard lock{mutex_};
  for (const auto& recording : kept_) {
    if (recording->id == id) return recording;
  }
  return nullptr;
}

}  // namespace qn
