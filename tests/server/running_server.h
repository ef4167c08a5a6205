// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <atomic>
#include <condition_variable>
#include <functional>
#include <future>
#include <mutex>
#include <nlohmann/json.hpp>
#include <string>
#include <thread>

#include "server/serve.h"
#include "support/web_client.h"

namespace qn::test {

/// The header line by which a file that is brought says what it is called.
inline std::string named(const std::string& name) { return "X-File-Name: " + name + "\r\n"; }

/// The real server on a port of its own, with the work it gives out replaced by the test's.
class RunningServer {
 public:
  explicit RunningServer(ServeOptions options = {}) : options_{std::move(options)} {
    std::promise<Listening> heard;
    auto listening = heard.get_future();
    options_.port = 0;
    options_.on_listening = [&heard](const Listening& l) { heard.set_value(l); };
    thread_ = std::thread{[this] { ended_well_ = serve(options_).has_value(); }};
    listening_ = listening.get();
  }
  ~RunningServer() { end(); }
  RunningServer(const RunningServer&) = delete;
  RunningServer& operator=(const RunningServer&) = delete;

  std::uint16_t port() const { return listening_.port; }
  const Listening& listening() const { return listening_; }
  /// returns  whether serve() ended without an error
  bool end() {
    if (thread_.joinable()) {
      listening_.stop();
      thread_.join();
    }
    return ended_well_;
  }
  /// Waits for an end that something else caused.
  bool wait_for_end() {
    thread_.join();
    return ended_well_;
  }

  std::string bring(const std::string& csv, const std::string& name = "small.csv") const {
    const Answer answer = ask(port(), "POST", "/api/recordings", csv, named(name));
    return nlohmann::json::parse(answer.body).at("id");
  }
  std::string start_fit(const std::string& request = "{}") const {
    const std::string id = bring(kSmallLog);
    const Answer answer = ask(port(), "POST", "/api/recordings/" + id + "/fits", request);
    return nlohmann::json::parse(answer.body).at("id");
  }

  static constexpr const char* kSmallLog =
      "time_s,field_x_uT,field_y_uT,field_z_uT\n0,20,1,-40\n0.1,21,2,-41\n0.2,19,3,-40\n0.3,20,4,-"
      "39\n";

 private:
  ServeOptions options_;
  Listening listening_;
  std::atomic<bool> ended_well_ = false;
  std::thread thread_;
};

/// Work that goes on until the test lets it end.
class Gate {
 public:
  void open() {
    const std::lock_guard lock{mutex_};
    open_ = true;
    changed_.notify_all();
  }
  void pass() {
    std::unique_lock lock{mutex_};
    changed_.wait(lock, [this] { return open_; });
  }

 private:
  std::mutex mutex_;
  std::condition_variable changed_;
  bool open_ = false;
};

}  // namespace qn::test
