// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <memory>
#include <string>
#include <vector>

#include "server/http_server_internal.h"
#include "server/recording_shelf.h"
#include "server/run_routes.h"
#include "server/scratch_folder.h"
#include "server/work_board.h"
#include "server/worker.h"

namespace qn {

/// What each address of api.yaml does. Quick answers are given on the calling thread; reading a
/// recording and drawing a sheet are done on a worker of their own, so that the page stays awake.
class Routes {
 public:
  Routes(const ServeOptions& options, std::unique_ptr<ScratchFolder> folder);
  ~Routes();
  Routes(const Routes&) = delete;
  Routes& operator=(const Routes&) = delete;

  HttpHandlers handlers();
  void listening_on(std::uint16_t port) { port_ = port; }
  /// errors  those of RunRoutes::begin
  Result<Done> begin_run(const RunSessionRequest& request) { return run_.begin(request); }
  void stop();  ///< work under way is asked to end

 private:
  std::optional<HttpResponse> refuse(const HttpRequest& request) const;
  void handle(const HttpRequest& request, const Reply& reply);
  HttpResponse quick(const HttpRequest& request);
  HttpResponse about(const HttpRequest& request) const;
  HttpResponse earth(const HttpRequest& request) const;
  HttpResponse series(const HttpRequest& request, const std::string& id) const;
  HttpResponse quick_in(const HttpRequest& request, const std::vector<std::string>& parts);
  HttpResponse start_fit(const HttpRequest& request, const std::string& recording_id);
  HttpResponse start_disturbance(const HttpRequest& request, const std::string& recording_id);
  HttpResponse answer_of(const std::string& kind, const std::string& id) const;
  void bring_recording(const HttpRequest& request, const Reply& reply);
  void sheet(const HttpRequest& request, const std::string& kind, const std::string& id,
             SheetFormat format, const Reply& reply);
  void card(const HttpRequest& request, const std::string& id, const Reply& reply);
  void keep_in_book(const HttpRequest& request, const Reply& reply);
  enum class MarksAs { document, csv };
  HttpResponse marks(const std::string& id, MarksAs form) const;
  void move_marks(const HttpRequest& request, const std::string& id, const Reply& reply);
  RunAnswerIds keep_answer_of(const LiveRun& run);
  void what_if_on(const HttpRequest& request, const std::string& id, const Reply& reply);

  const ServeOptions& options_;
  std::uint16_t port_ = 0;
  std::unique_ptr<ScratchFolder> folder_;  // before what may still hold files in it
  std::shared_ptr<RecordingShelf> shelf_ = std::make_shared<RecordingShelf>();
  WorkBoard board_;
  Worker chores_;
  Worker quick_work_;  // what a hand on the page waits for
  RunRoutes run_;      // last: at its end it puts an answer onto the others
};

/// A name to show, without folders and without what would break a line.
std::string shown_name(std::string name, const std::string& otherwise);

}  // namespace qn
