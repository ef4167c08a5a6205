// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <memory>
#include <string>

#include "server/fit_board.h"
#include "server/http_server_internal.h"
#include "server/recording_shelf.h"
#include "server/scratch_folder.h"
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
  void stop();  ///< work under way is asked to end

 private:
  std::optional<HttpResponse> refuse(const HttpRequest& request) const;
  void handle(const HttpRequest& request, const Reply& reply);
  HttpResponse quick(const HttpRequest& request);
  HttpResponse about() const;
  HttpResponse earth(const HttpRequest& request) const;
  HttpResponse series(const HttpRequest& request, const std::string& id) const;
  HttpResponse start_fit(const HttpRequest& request, const std::string& recording_id);
  HttpResponse fit(const std::string& id) const;
  void bring_recording(const HttpRequest& request, const Reply& reply);
  void sheet(const HttpRequest& request, const std::string& id, SheetFormat format,
             const Reply& reply);

  const ServeOptions& options_;
  std::uint16_t port_ = 0;
  std::unique_ptr<ScratchFolder> folder_;  // before what may still hold files in it
  std::shared_ptr<RecordingShelf> shelf_ = std::make_shared<RecordingShelf>();
  FitBoard board_;
  Worker chores_;
};

}  // namespace qn
