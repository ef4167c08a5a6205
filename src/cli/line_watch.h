// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <atomic>
#include <functional>
#include <string>
#include <thread>

namespace qn {

/// Reads lines that are typed on the terminal while something else is going on. Does nothing when
/// standard input is no terminal.
class LineWatch {
 public:
  /// on_line  called on a thread of its own, without the line's end
  explicit LineWatch(std::function<void(const std::string&)> on_line);
  ~LineWatch();  ///< ends within a tenth of a second
  LineWatch(const LineWatch&) = delete;
  LineWatch& operator=(const LineWatch&) = delete;

 private:
  void run(const std::function<void(const std::string&)>& on_line);
  std::atomic<bool> ending_ = false;
  std::thread thread_;
};

}  // namespace qn
