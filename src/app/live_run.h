// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <functional>
#include <map>
#include <memory>
#include <mutex>
#include <optional>
#include <string>

#include "app/book_recording.h"
#include "app/finish_run.h"
#include "app/live_links.h"
#include "app/live_trace.h"
#include "app/run_setup.h"
#include "app/run_swing_view.h"
#include "app/run_view.h"
#include "procedure/run_engine.h"
#include "vocab/result.h"

namespace qn {

/// What somebody says in a run, with the moments on the recording's clock.
struct RunAnswer {
  std::string key;  ///< the same key twice is one answer
  run::EventKind kind = run::EventKind::tap;
  std::optional<double> at_s;      ///< the moment that is meant; nothing: now
  std::string device, state;       ///< as in run::Event
  std::optional<double> number{};  ///< of a reading: degrees as read
};

struct LiveRunRequest {
  std::string book_path;
  RunSetup setup;  ///< the equipment is that of the book
  /// With the book's unfinished run, at the step where it was; its own setup holds, but the links.
  bool go_on = false;
  LiveLinkOptions links;
};

/// A run as it happens: links speak, the engine leads, the book keeps. Every answer is in the book
/// before it counts.
///
/// threads  run() holds one; everything else may be called from any
class LiveRun {
 public:
  /// Opens the book and the links, and begins the run or goes on with it.
  /// errors  OutOfRange, BadInput: setup, no equipment, nothing to go on with. Io: book, links
  static Result<std::unique_ptr<LiveRun>> open(LiveRunRequest request);
  ~LiveRun();
  LiveRun(const LiveRun&) = delete;
  LiveRun& operator=(const LiveRun&) = delete;

  /// Until the run is over and answered, or leave(). An Error of the book ends it as well; what is
  /// in the book stays, and the run can be gone on with.
  Result<Done> run();
  /// Ends run() without ending the run: it can be gone on with.
  void leave();
  void stop_on_signals();  ///< as LiveLinks; before run()

  /// errors  OutOfRange: a key or a moment that cannot be. Io, Corrupt: the book did not take it,
  ///         and it does not count
  Result<RunView> answer(const RunAnswer& answer);
  /// A reading of a display. errors  as LiveLinks::type
  Result<Done> type(std::string_view line) { return live_->type(line); }

  double now_s() const { return later_s_ + live_->now_s(); }
  /// Seconds of now_s() in a second: 1, but for a rehearsal that is led more quickly.
  double clock_speed() const { return live_->clock_speed(); }
  RunView view() const;
  LiveTrace trace(double last_s) const;
  std::int64_t run_id() const { return static_cast<std::int64_t>(run_); }
  const RunSetup& setup() const { return setup_; }
  std::vector<Mark> marks() const;
  /// The files of a run that is over; nothing before.
  std::shared_ptr<const RunFiles> files() const;
  std::shared_ptr<const RunAnswered> answered() const;

  struct Listener {
    std::function<void()> on_view;   ///< something changed
    std::function<void()> on_trace;  ///< new points; at most ten a second
  };
  /// Both are called from any thread, without a lock of the run; they must be quick.
  /// returns  what ends the listening
  std::function<void()> listen(Listener listener);

  /// Who answers with ids of its own (the page's server) puts them here.
  void set_ids(const RunAnswerIds& ids);
  /// Something else that is kept in the book meanwhile; this run has it open.
  Result<std::string> with_book(const UseOfBook& use);
  /// Told each event after it was applied, on the thread that brought it; one at most.
  std::function<void(const run::Event&, const run::State&)> on_applied;

 private:
  LiveRun() = default;
  Result<Done> begin(const LiveRunRequest& request);
  Result<Done> resume(const LiveRunRequest& request);
  Result<Done> take_events(const std::vector<run::Event>& events);
  Result<Done> take_one(const run::Event& event);
  Result<Done> weigh();
  Result<Done> lead(const std::shared_ptr<const run::Plan>& plan,
                    const std::vector<run::Event>& journal);
  bool is_of_use(const LinkReading& reading) const;
  std::vector<run::Event> hear(double time_s, const LinkReading& reading);
  void on_reading(std::size_t link, const TimedReading& timed);
  Result<Done> on_tick(double now_s);
  bool retell(double now_s);
  void told(bool view, bool trace);
  Result<Done> finish();

  std::shared_ptr<SharedBook> book_;
  RunSetup setup_;
  std::unique_ptr<LiveLinks> live_;
  RecordingId recording_{};
  RunId run_{};
  double later_s_ = 0.0;  ///< of the recording when the links were opened
  double from_s_ = 0.0;   ///< where it goes on: a little later, when all of them were

  mutable std::mutex mutex_;  ///< of all below; never held while listeners are called
  std::unique_ptr<run::Engine> engine_;
  RunView view_;
  RunTeller teller_;
  std::optional<SwingTeller> swing_teller_;
  TraceKeeper trace_;
  std::optional<std::pair<std::size_t, std::string>> field_source_;
  std::optional<Error> failed_;
  double last_told_s_ = -1.0;
  std::shared_ptr<const RunFiles> files_;
  std::shared_ptr<const RunAnswered> answered_;

  mutable std::mutex listeners_mutex_;
  std::map<std::uint64_t, Listener> listeners_;
  std::uint64_t next_listener_ = 0;
};

}  // namespace qn
