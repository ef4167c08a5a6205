// SPDX-License-Identifier: Apache-2.0
#include "server/fit_board.h"

#include <algorithm>
#include <atomic>
#include <map>
#include <mutex>
#include <utility>

#include "server/dto_fit.h"

namespace qn {
namespace {

constexpr std::size_t kMostFits = 32;  // older ones that have ended make room
constexpr std::size_t kMostWaiting = 8;

Error stopped_error() {
  return Error{ErrorKind::BadInput, "the fit was stopped before it had an answer", "this fit",
               "a fit that runs to its end", "solve the recording again when you want the answer"};
}

}  // namespace

std::string to_word(FitState state) {
  switch (state) {
    case FitState::waiting: return "waiting";
    case FitState::working: return "working";
    case FitState::done: return "done";
    case FitState::failed: return "failed";
    case FitState::stopped: return "stopped";
  }
  return "failed";
}

// Owned by the board and by the task that solves it, whichever lives longer.
struct FitBoard::Fit {
  std::string id;
  FitRequest request;
  std::shared_ptr<const KeptRecording> recording;
  std::shared_ptr<ScratchFile> stations;
  std::atomic<bool> stop_asked = false;

  mutable std::mutex mutex;
  FitNews news;
  std::map<int, EventSink> sinks;
  int next_sink = 0;

  bool ended() const { return news.state >= FitState::done; }

  void tell() {  // mutex held; sinks only hand on, so this is short
    const StreamEvent event{ended() ? to_word(news.state) : "progress", news_json(news), ended()};
    for (const auto& [number, sink] : sinks) sink(event);
    if (ended()) sinks.clear();
  }

  void end(FitNews with) {
    const std::lock_guard lock{mutex};
    if (ended()) return;
    news = std::move(with);
    tell();
  }

  bool progress(const std::string& doing, double fraction) {
    const std::lock_guard lock{mutex};
    if (stop_asked || ended()) return false;
    news.state = FitState::working;
    news.doing = doing;
    news.fraction = std::clamp(fraction, 0.0, 1.0);
    tell();
    return true;
  }

  void solve(const ServeUses& uses) {
    FitNews last;
    if (progress("reading the recording", 0.0)) {
      try {
        auto answer = uses.fit(request, [this](const std::string& doing, double fraction) {
          return progress(doing, fraction);
        });
        if (stop_asked) {
          last.error = stopped_error();
        } else if (answer) {
          last.document = std::make_shared<const FitDocument>(std::move(answer).value());
          last.document_json = uses.document_json(*last.document);
        } else {
          last.error = answer.error();
        }
      } catch (const std::exception& trouble) {  // out of memory, most likely
        last.error = Error{ErrorKind::Io, std::string{"the work broke off: "} + trouble.what(),
                           request.log_name, "a recording that fits into this machine's memory",
                           "close other programs, or cut the recording into parts"};
      }
    } else {
      last.error = stopped_error();
    }
    last.state = !last.error ? FitState::done : stop_asked ? FitState::stopped : FitState::failed;
    last.fraction = last.error ? 0.0 : 1.0;
    last.doing = to_word(last.state);
    end(std::move(last));
    recording.reset();
    stations.reset();
  }
};

struct FitBoard::Fits {
  mutable std::mutex mutex;
  std::deque<std::shared_ptr<Fit>> all;
};

FitBoard::FitBoard(const ServeUses& uses) : uses_{uses}, fits_{std::make_shared<Fits>()} {}

FitBoard::~FitBoard() {
  stop_all();
  worker_.end_within(Duration::seconds(0.5));
}

std::string FitBoard::start(FitRequest request, std::shared_ptr<const KeptRecording> recording,
                            std::shared_ptr<ScratchFile> stations) {
  auto fit = std::make_shared<Fit>();
  fit->id = new_id();
  fit->request = std::move(request);
  fit->recording = std::move(recording);
  fit->stations = std::move(stations);
  const std::lock_guard lock{fits_->mutex};
  auto& all = fits_->all;
  std::size_t open = 0;
  for (const auto& other : all) {
    const std::lock_guard other_lock{other->mutex};
    open += other->ended() ? 0 : 1;
  }
  if (open > kMostWaiting) return {};
  if (all.size() >= kMostFits) {
    const auto old = std::find_if(all.begin(), all.end(), [](const auto& other) {
      const std::lock_guard other_lock{other->mutex};
      return other->ended();
    });
    if (old != all.end()) all.erase(old);
  }
  all.push_back(fit);
  worker_.post([fit, uses = uses_] { fit->solve(uses); });
  return fit->id;
}

std::shared_ptr<FitBoard::Fit> FitBoard::find(const std::string& id) const {
  const std::lock_guard lock{fits_->mutex};
  for (const auto& fit : fits_->all) {
    if (fit->id == id) return fit;
  }
  return nullptr;
}

std::optional<FitNews> FitBoard::news(const std::string& id) const {
  const auto fit = find(id);
  if (!fit) return std::nullopt;
  const std::lock_guard lock{fit->mutex};
  return fit->news;
}

bool FitBoard::stop(const std::string& id) {
  const auto fit = find(id);
  if (!fit) return false;
  fit->stop_asked = true;
  // Said at once: the work itself may take a moment to notice.
  FitNews stopped;
  stopped.state = FitState::stopped;
  stopped.doing = to_word(FitState::stopped);
  stopped.error = stopped_error();
  fit->end(std::move(stopped));
  return true;
}

void FitBoard::stop_all() {
  const std::lock_guard lock{fits_->mutex};
  for (const auto& fit : fits_->all) fit->stop_asked = true;
}

std::function<void()> FitBoard::listen(const std::string& id, EventSink sink) {
  const auto fit = find(id);
  if (!fit) {
    sink({"failed", "{}", true});
    return [] {};
  }
  const std::lock_guard lock{fit->mutex};
  const int number = fit->next_sink++;
  fit->sinks.emplace(number, std::move(sink));
  const StreamEvent now{fit->ended() ? to_word(fit->news.state) : "progress", news_json(fit->news),
                        fit->ended()};
  fit->sinks.at(number)(now);
  if (now.last) fit->sinks.erase(number);
  return [fit, number] {
    const std::lock_guard again{fit->mutex};
    fit->sinks.erase(number);
  };
}

}  // namespace qn
