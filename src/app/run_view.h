// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "app/run_swing_view.h"
#include "procedure/run_prompt.h"
#include "procedure/run_state.h"
#include "vocab/field_vector.h"
#include "vocab/result.h"

namespace qn {

/// One link, as far as somebody in a run needs to know it.
struct RunLink {
  std::size_t number = 1;
  std::string address;
  bool alive = false;
  bool typed = false;  ///< readings are typed for it
  double silent_s = 0.0;
  double rate_Hz = 0.0;
  std::vector<std::string> wrong;
};

/// What became of the analysis at the end.
/// Where the page's other views find the answer; what is not of this procedure is empty.
struct RunAnswerIds {
  std::string recording, disturbance, fit, swing;
};

struct RunAnswerNews {
  enum class State { working, done, failed };
  State state = State::working;
  std::optional<Error> error;  ///< when failed
  std::string verdict, sentence;
  std::int64_t finding = 0;  ///< in the book
  RunAnswerIds ids;          ///< in the page's server; empty elsewhere
};

/// All that is shown and said of a run at one moment.
struct RunView {
  std::int64_t run = 0;  ///< in the book
  std::string procedure, aircraft, started_utc;
  std::uint64_t version = 0;  ///< rises whenever something else than the time changed
  double now_s = 0.0;
  run::State::Phase phase = run::State::Phase::safety;
  bool paused = false, stopped = false;
  run::Prompt prompt;
  std::vector<bool> done;  ///< of each step, repeats included
  double since_s = 0.0, asked_s = 0.0;
  std::string say;               ///< to be said aloud
  std::uint64_t say_number = 0;  ///< rises when it has to be said, perhaps again
  std::vector<std::pair<std::string, std::vector<std::string>>> devices;  ///< names and states
  std::vector<RunLink> links;
  double kept_until_s = 0.0;      ///< the book has everything until here
  std::optional<RunSwing> swing;  ///< of a swing: what the readings so far say
  std::optional<RunAnswerNews> answer;
};

/// Schema quietnorth/run/1 (docs/formats/run-json.md).
/// may_operate  false: this reader looks on
std::string to_json(const RunView& view, bool may_operate);

/// The field of the last minutes, to be drawn: means of a tenth of a second.
struct LiveTrace {
  double to_s = 0.0;
  std::vector<double> time_s;
  std::vector<Vector3> field_uT;
};
std::string to_json(const LiveTrace& trace);

/// Fills in what follows from the state, and counts up version and say_number where it changed.
class RunTeller {
 public:
  /// view  as it was told last; changed in place
  void tell(const run::State& state, double now_s, RunView& view);

 private:
  std::string asked_;  // what the words said last were about
  std::string shown_;
};

}  // namespace qn
