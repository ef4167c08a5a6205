// SPDX-License-Identifier: Apache-2.0
#include <algorithm>

#include "server/event_queue_internal.h"

namespace qn {

bool EventQueue::push(const StreamEvent& event) {
  if (ended_) return true;
  if (!event.keep) {
    // The newer one goes to the end and not into the old one's place: it must not overtake what was
    // told before it.
    const auto older = std::find_if(waiting_.begin(), waiting_.end(), [&](const Waiting& w) {
      return !w.keep && w.name == event.name;
    });
    if (older != waiting_.end()) {
      bytes_ -= older->text.size();
      waiting_.erase(older);
    }
  }
  Waiting next{event.name, "event: " + event.name + "\ndata: " + event.data + "\n\n",
               event.keep || event.last};
  if (waiting_.size() >= kMostWaiting || bytes_ + next.text.size() > kMostBytes) return false;
  bytes_ += next.text.size();
  waiting_.push_back(std::move(next));
  ended_ = event.last;
  return true;
}

std::string EventQueue::take() {
  std::string all;
  all.reserve(bytes_);
  for (const Waiting& w : waiting_) all += w.text;
  waiting_.clear();
  bytes_ = 0;
  return all;
}

}  // namespace qn
