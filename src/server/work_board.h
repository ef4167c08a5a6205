// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <functional>
#include <memory>
#include <optional>
#include <string>

#include "app/fit_sensor_log.h"
#include "server/http_server_internal.h"
#include "server/worker.h"

namespace qn {

struct SwingDocument;
struct WorkedDisturbance;

enum class WorkState { waiting, working, done, failed, stopped };
std::string to_word(WorkState state);

/// What a piece of work has come to.
struct WorkOutcome {
  std::string document_json;
  std::string log_name;  ///< names of saved files are made from it
  std::function<Result<std::string>(SheetFormat, Paper)> sheet;
  std::shared_ptr<WorkedDisturbance> disturbance;  ///< of that kind: its marks can be moved
  std::shared_ptr<const SwingDocument> swing;      ///< of that kind: cards can be made of it
};

/// A piece of work to be done. `work` owns what it uses and is let go when it has ended.
struct WorkOrder {
  std::string kind;  ///< "fit", "disturbance" or "swing", as addresses and messages say it
  std::string name;  ///< of the recording, for messages
  std::size_t most_kept = 32;  ///< of its kind; older ones that have ended make room
  std::function<Result<WorkOutcome>(const Progress&)> work;
};

/// What is known of a piece of work at one moment.
struct WorkNews {
  WorkState state = WorkState::waiting;
  std::string doing = "waiting for its turn";
  double fraction = 0.0;
  std::shared_ptr<const WorkOutcome> outcome;  ///< when done
  std::optional<Error> error;                  ///< when failed or stopped
};

/// The work of this run, done one after the other on one thread. Safe from any thread.
class WorkBoard {
 public:
  WorkBoard();
  ~WorkBoard();
  WorkBoard(const WorkBoard&) = delete;
  WorkBoard& operator=(const WorkBoard&) = delete;

  /// returns   the id; empty when too many are waiting
  std::string start(WorkOrder order);
  /// none: no work of that kind has this id
  std::optional<WorkNews> news(const std::string& kind, const std::string& id) const;
  bool stop(const std::string& kind, const std::string& id);  ///< false: none such
  void stop_all();

  /// What puts another outcome in the place of the one that is there, from any thread and also
  /// after the board is gone; what is not done stays as it is.
  std::function<void(std::shared_ptr<const WorkOutcome>)> replacing(const std::string& id) const;

  /// The sink gets the latest at once and then everything new; `last` ends it.
  /// returns  what ends the listening early
  std::function<void()> listen(const std::string& id, EventSink sink);

 private:
  struct Piece;
  struct Pieces;
  std::shared_ptr<Piece> find(const std::string& id) const;
  std::shared_ptr<Pieces> pieces_;
  Worker worker_;
};

}  // namespace qn
