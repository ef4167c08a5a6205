// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <memory>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "procedure/run_event.h"
#include "procedure/run_plan.h"
#include "vocab/mark.h"

namespace qn::run {

/// A step still to be done, or done.
struct Todo {
  std::size_t step = 0;  ///< index into Plan::steps
  bool repeat = false;   ///< not of the plan: asked for, or to make up for what is missing
  bool done = false;
  bool wanted = false;  ///< because of what was read
};

/// One thing to be asked for within a step, and the wait after it.
struct Act {
  enum class Kind { helper_on, helper_off, work, back, read };
  Kind kind = Kind::work;
  std::string device, state;
  std::string say, label;
  double transit_s = 0.0;
  double wait_s = 0.0;   ///< of `work` with an aim: not used, the width decides
  std::string loads{};   ///< read: what is on
  bool by_link = false;  ///< read: the listener may answer
  bool again = false;    ///< read: it was read, and doubted
};

/// Something that was read. One that was read again stays, and is no longer kept.
struct Read {
  double time_s = 0.0;
  std::size_t todo = 0;            ///< the visit
  std::string device;              ///< the instrument
  std::string step, state, loads;  ///< Step::device and state, and what was on
  double number = 0.0, sigma = 0.0;
  bool kept = true;
  bool doubted = false;    ///< its like was asked for once more
  bool confirmed = false;  ///< read once more, and the same
};

/// What was learnt of one aim so far.
struct AimProgress {
  std::size_t visits = 0;
  double information = 0.0;  ///< 1 / uT^2, of all visits
  std::size_t moved = 0;     ///< visits at which the field moved with the mark
  std::size_t still = 0;     ///< visits at which it did not
  std::size_t still_repeated = 0;
};

/// The visit that the listener has to judge.
struct OpenVisit {
  std::size_t step = 0;
  double rest_from_s = 0.0, from_s = 0.0, to_s = 0.0;  ///< counted rest, then on, then back
  bool back = false;                                   ///< it is over
};

struct Noticed {
  double time_s = 0.0;
  std::string text;
};

/// Where a run is. A function of the plan and of the events, nothing else: the same events give
/// the same state, live, on replay and after a crash.
struct State {
  enum class Phase {
    safety,      ///< the first caution is to be read
    first_rest,  ///< everything at its reference
    caution,     ///< that of a group is to be read
    ask,         ///< for acts[act]
    wait,        ///< after acts[act] was done
    over,        ///< finished or stopped
  };

  std::shared_ptr<const Plan> plan;
  std::vector<Todo> todo;
  std::size_t at = 0;  ///< index into todo
  std::vector<Act> acts;
  std::size_t act = 0;
  Phase phase = Phase::safety;
  double now_s = 0.0;    ///< time of the latest event
  double since_s = 0.0;  ///< when the present wait began: the moment that the tap meant
  double asked_s = 0.0;  ///< when the present question was put
  bool paused = false;
  bool stopped = false;
  bool drifting = false;
  bool rest_asked = false;
  double rest_declined_s = -1e9;
  std::optional<HeldWhy> held;         ///< why the last wait was over
  std::optional<double> offered_at_s;  ///< something was seen, and nobody said yet what it was
  std::optional<OpenVisit> visit;      ///< not judged yet
  std::vector<Helper> helpers_on;
  std::vector<std::string> absent;
  std::vector<bool> acknowledged;  ///< for each group
  std::vector<AimProgress> aims;
  double R_uT2_s = 0.0, q_uT2_per_s = 0.0;  ///< as learnt last
  std::vector<Noticed> noticed;
  std::vector<Mark> marks;  ///< what the analysis is given, in time order
  std::vector<Read> reads;
  std::size_t heard = 0, weighed = 0;  ///< answers to questions for a number; those weighed
  bool leaving_read = false;           ///< goes on as soon as they are weighed
  std::set<std::string> keys;
  std::vector<Event> journal;

  const Step& step() const { return plan->steps[todo[at].step]; }
  bool in_step() const { return at < todo.size() && !acts.empty(); }
  bool asks_for_number() const {
    return phase == Phase::ask && act < acts.size() && acts[act].kind == Act::Kind::read;
  }
  bool waits_at_work() const {
    return phase == Phase::wait && act < acts.size() && acts[act].kind == Act::Kind::work;
  }
  /// A device is away from its reference, as far as is known.
  bool away() const;
  /// From here on the last mark's switch is certainly over.
  double settled_s() const;
  /// Visits of the aim still to come, the present one included.
  std::size_t visits_to_come(std::size_t aim) const;
};

State start(std::shared_ptr<const Plan> plan);

/// Puts the event into the journal and does what it means.
/// returns  false: the key is known, and nothing was changed. An event that means nothing at
///          present is kept and changes only the time
bool apply(State& state, const Event& event);

/// The state that a journal leads to.
State rebuild(std::shared_ptr<const Plan> plan, const std::vector<Event>& journal);

/// "007", "127.5": what was read, as it is said.
std::string reading_text(double deg);

/// "7:03", minutes and seconds of the recording.
std::string clock_text(double time_s);

}  // namespace qn::run
