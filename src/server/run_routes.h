// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <functional>
#include <memory>
#include <mutex>
#include <optional>
#include <string>
#include <thread>

#include "app/run_session.h"
#include "server/air_routes.h"
#include "server/http_server_internal.h"
#include "server/worker.h"

namespace qn {

/// The addresses of a live run: /api/book, /api/runs and /api/run... (api.yaml). One run at a time.
class RunRoutes {
 public:
  /// What the page's other views need of a run that is answered: its recording and its answer under
  /// ids of theirs. Called on the run's thread.
  using KeepAnswer = std::function<RunAnswerIds(const LiveRun&)>;

  /// on_answered  may be empty
  RunRoutes(std::optional<std::string> book, KeepAnswer keep_answer,
            std::function<void(const RunSession&)> on_answered);
  ~RunRoutes();
  RunRoutes(const RunRoutes&) = delete;
  RunRoutes& operator=(const RunRoutes&) = delete;

  /// errors  those of RunSession::open; BadInput: a run is going on
  Result<Done> begin(const RunSessionRequest& request);
  /// false: the address is none of these
  bool handle(const HttpRequest& request, const Reply& reply);
  /// Something else that is kept in the book, answered on the thread that waits for the disk.
  void keep(std::function<HttpResponse(const InBook&)> work, const Reply& reply);
  /// A run that is going on is left: it can be gone on with.
  void stop();

 private:
  std::shared_ptr<RunSession> session() const;
  void book(const Reply& reply) const;
  Result<std::string> in_book(const UseOfBook& use);
  void start(const HttpRequest& request, const Reply& reply);
  void in_run(const HttpRequest& request, const std::string& what, const Reply& reply);

  std::optional<std::string> book_;
  KeepAnswer keep_answer_;
  std::function<void(const RunSession&)> on_answered_;
  std::mutex opening_;  // of the book: by a run, or for something else
  mutable std::mutex mutex_;
  std::shared_ptr<RunSession> session_;
  std::thread thread_;
  bool going_on_ = false;
  Worker work_;  // what waits for the disk
};

}  // namespace qn
