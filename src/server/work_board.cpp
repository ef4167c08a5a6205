// SPDX-License-Identifier: Apache-2.0
#include "server/work_board.h"

#include <algorithm>
#include <atomic>
#include <deque>
#include <map>
#include <mutex>
#include <utility>

#include "server/dto_fit.h"
#include "server/recording_shelf.h"

namespace qn {
namespace {

constexpr std::size_t kMostWaiting = 8;

Error stopped_error() {
  return Error{ErrorKind::BadInput, "the work was stopped before it had an answer", "this work",
               "to be left to its end", "start it again when you want the answer"};
}

}  // namespace

std::string to_word(WorkState state) {
  switch (state) {
    case WorkState::waiting: return "waiting";
    case WorkState::working: return "working";
    case WorkState::done: return "done";
    case WorkState::failed: return "failed";
    case WorkState::stopped: return "stopped";
  }
  return "failed";
}

// Owned by the board and by the task that does it, whichever lives longer.
struct WorkBoard::Piece {
  std::string id;
  WorkOrder order;
  std::atomic<bool> stop_asked = false;

  mutable std::mutex mutex;
  WorkNews news;
  std::map<int, EventSink> sinks;
  int next_sink = 0;

  bool ended() const { return news.state >= WorkState::done; }

  void tell() {  // mutex held; sinks only hand on, so this is short
    const StreamEvent event{ended() ? to_word(news.state) : "progress", news_json(news), ended()};
    for (const auto& [number, sink] : sinks) sink(event);
    if (ended()) sinks.clear();
  }

  void end(WorkNews with) {
    const std::lock_guard lock{mutex};
    if (ended()) return;
    news = std::move(with);
    tell();
  }

  bool progress(const std::string& doing, double fraction) {
    const std::lock_guard lock{mutex};
    if (stop_asked || ended()) return false;
    news.state = WorkState::working;
    news.doing = doing;
    news.fraction = std::clamp(fraction, 0.0, 1.0);
    tell();
    return true;
  }

  void run() {
    WorkNews last;
    if (progress("reading the recording", 0.0)) {
      try {
        auto answer = order.work([this](const std::string& doing, double fraction) {
          return progress(doing, fraction);
        });
        if (stop_asked) {
          last.error = stopped_error();
        } else if (answer) {
          last.outcome = std::make_shared<const WorkOutcome>(std::move(answer).value());
        } else {
          last.error = answer.error();
        }
      } catch (const std::exception& trouble) {  // out of memory, most likely
        last.error = Error{ErrorKind::Io, std::string{"the work broke off: "} + trouble.what(),
                           order.name, "a recording that fits into this machine's memory",
                           "close other programs, or cut the recording into parts"};
      }
    } else {
      last.error = stopped_error();
    }
    last.state = !last.error  ? WorkState::done
                 : stop_asked ? WorkState::stopped
                              : WorkState::failed;
    last.fraction = last.error ? 0.0 : 1.0;
    last.doing = to_word(last.state);
    end(std::move(last));
    order.work = nullptr;
  }
};

struct WorkBoard::Pieces {
  mutable std::mutex mutex;
  std::deque<std::shared_ptr<Piece>> all;

  std::size_t count_open() const {  // mutex held
    std::size_t open = 0;
    for (const auto& piece : all) {
      const std::lock_guard lock{piece->mutex};
      open += piece->ended() ? 0 : 1;
    }
    return open;
  }

  void make_room(const std::string& kind, std::size_t most) {  // mutex held
    const auto of_kind = [&](const auto& piece) { return piece->order.kind == kind; };
    if (static_cast<std::size_t>(std::count_if(all.begin(), all.end(), of_kind)) < most) return;
    const auto old = std::find_if(all.begin(), all.end(), [&](const auto& piece) {
      const std::lock_guard lock{piece->mutex};
      return of_kind(piece) && piece->ended();
    });
    if (old != all.end()) all.erase(old);
  }
};

WorkBoard::WorkBoard() : pieces_{std::make_shared<Pieces>()} {}

WorkBoard::~WorkBoard() {
  stop_all();
  worker_.end_within(Duration::seconds(0.5));
}

std::string WorkBoard::start(WorkOrder order) {
  auto piece = std::make_shared<Piece>();
  piece->id = new_id();
  piece->order = std::move(order);
  const std::lock_guard lock{pieces_->mutex};
  if (pieces_->count_open() > kMostWaiting) return {};
  pieces_->make_room(piece->order.kind, piece->order.most_kept);
  pieces_->all.push_back(piece);
  worker_.post([piece] { piece->run(); });
  return piece->id;
}

std::shared_ptr<WorkBoard::Piece> WorkBoard::find(const std::string& id) const {
  const std::lock_guard lock{pieces_->mutex};
  for (const auto& piece : pieces_->all) {
    if (piece->id == id) return piece;
  }
  return nullptr;
}

std::optional<WorkNews> WorkBoard::news(const std::string& kind, const std::string& id) const {
  const auto piece = find(id);
  if (!piece || piece->order.kind != kind) return std::nullopt;
  const std::lock_guard lock{piece->mutex};
  return piece->news;
}

bool WorkBoard::stop(const std::string& kind, const std::string& id) {
  const auto piece = find(id);
  if (!piece || piece->order.kind != kind) return false;
  piece->stop_asked = true;
  // Said at once: the work itself may take a moment to notice.
  WorkNews stopped;
  stopped.state = WorkState::stopped;
  stopped.doing = to_word(WorkState::stopped);
  stopped.error = stopped_error();
  piece->end(std::move(stopped));
  return true;
}

void WorkBoard::stop_all() {
  const std::lock_guard lock{pieces_->mutex};
  for (const auto& piece : pieces_->all) piece->stop_asked = true;
}

std::function<void(std::shared_ptr<const WorkOutcome>)> WorkBoard::replacing(
    const std::string& id) const {
  return [piece = find(id)](std::shared_ptr<const WorkOutcome> outcome) {
    if (!piece) return;
    const std::lock_guard lock{piece->mutex};
    if (piece->news.state == WorkState::done) piece->news.outcome = std::move(outcome);
  };
}

std::function<void()> WorkBoard::listen(const std::string& id, EventSink sink) {
  const auto piece = find(id);
  if (!piece) {
    sink({"failed", "{}", true});
    return [] {};
  }
  const std::lock_guard lock{piece->mutex};
  const int number = piece->next_sink++;
  piece->sinks.emplace(number, std::move(sink));
  const StreamEvent now{piece->ended() ? to_word(piece->news.state) : "progress",
                        news_json(piece->news), piece->ended()};
  piece->sinks.at(number)(now);
  if (now.last) piece->sinks.erase(number);
  return [piece, number] {
    const std::lock_guard again{piece->mutex};
    piece->sinks.erase(number);
  };
}

}  // namespace qn
