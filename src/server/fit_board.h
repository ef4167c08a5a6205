// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <deque>
#include <functional>
#include <memory>
#include <optional>
#include <string>

#include "server/http_server_internal.h"
#include "server/recording_shelf.h"
#include "server/worker.h"

namespace qn {

enum class FitState { waiting, working, done, failed, stopped };
std::string to_word(FitState state);

/// What is known of a fit at one moment.
struct FitNews {
  FitState state = FitState::waiting;
  std::string doing = "waiting for its turn";
  double fraction = 0.0;
  std::shared_ptr<const FitDocument> document;  ///< when done
  std::string document_json;                    ///< when done
  std::optional<Error> error;                   ///< when failed or stopped
};

/// The fits of this run, solved one after the other on one thread. Safe from any thread.
class FitBoard {
 public:
  explicit FitBoard(const ServeUses& uses);
  ~FitBoard();
  FitBoard(const FitBoard&) = delete;
  FitBoard& operator=(const FitBoard&) = delete;

  /// stations  the file that the request names, or null; kept until the fit has ended
  /// returns   the fit's id; empty when too many are waiting
  std::string start(FitRequest request, std::shared_ptr<const KeptRecording> recording,
                    std::shared_ptr<ScratchFile> stations);
  std::optional<FitNews> news(const std::string& id) const;
  bool stop(const std::string& id);  ///< false: none such
  void stop_all();

  /// The sink gets the latest at once and then everything new; `last` ends it.
  /// returns  what ends the listening early
  std::function<void()> listen(const std::string& id, EventSink sink);

 private:
  struct Fit;
  struct Fits;
  std::shared_ptr<Fit> find(const std::string& id) const;
  ServeUses uses_;
  std::shared_ptr<Fits> fits_;
  Worker worker_;
};

}  // namespace qn
