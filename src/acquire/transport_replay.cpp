// SPDX-License-Identifier: Apache-2.0
#include "acquire/transport_replay.h"

#include <cmath>
#include <utility>

namespace qn {
namespace {

class ReplayTransport : public Transport {
 public:
  ReplayTransport(std::string name, std::unique_ptr<ChunkSource> source, double speed)
      : name_{std::move(name)}, source_{std::move(source)}, speed_{speed} {}

  const std::string& name() const override { return name_; }
  int descriptor() const override { return -1; }
  bool pieces_are_whole() const override { return source_->pieces_are_whole(); }
  bool joins_midway() const override { return source_->joins_midway(); }

  Result<Done> open(double now_s) override {
    start_s_ = now_s;
    next_ = source_->next();
    return Done{};
  }

  double due_s() const override {
    if (ended_) return kNever;
    return next_ ? start_s_ + next_->time_s / speed_ : start_s_;
  }

  void serve(double now_s, std::vector<LinkEvent>& events) override {
    constexpr int kMostAtOnce = 1000;
    for (int i = 0; i < kMostAtOnce && next_ && due_s() <= now_s; ++i) {
      last_s_ = next_->time_s;
      events.push_back(std::move(*next_));
      next_ = source_->next();
    }
    if (next_ || ended_) return;
    ended_ = true;
    events.push_back({LinkEvent::Kind::ended, 0, last_s_, ""});
  }

 private:
  std::string name_;
  std::unique_ptr<ChunkSource> source_;
  double speed_;
  double start_s_ = 0.0;
  double last_s_ = 0.0;
  std::optional<LinkEvent> next_;
  bool ended_ = false;
};

}  // namespace

std::unique_ptr<Transport> replay_transport(std::string name, std::unique_ptr<ChunkSource> source,
                                            double speed) {
  return std::make_unique<ReplayTransport>(std::move(name), std::move(source), speed);
}

}  // namespace qn
