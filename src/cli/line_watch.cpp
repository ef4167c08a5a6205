// SPDX-License-Identifier: Apache-2.0
#include "cli/line_watch.h"

#include <poll.h>
#include <unistd.h>

#include <utility>

namespace qn {

LineWatch::LineWatch(std::function<void(const std::string&)> on_line) {
  if (::isatty(STDIN_FILENO) != 1) return;
  thread_ = std::thread{[this, on_line = std::move(on_line)] { run(on_line); }};
}

LineWatch::~LineWatch() {
  ending_ = true;
  if (thread_.joinable()) thread_.join();
}

void LineWatch::run(const std::function<void(const std::string&)>& on_line) {
  std::string line;
  while (!ending_) {
    pollfd wait{STDIN_FILENO, POLLIN, 0};
    if (::poll(&wait, 1, 100) <= 0) continue;
    char letter = 0;
    if (::read(STDIN_FILENO, &letter, 1) != 1) return;  // Ctrl-D, or the terminal is gone
    if (letter != '\n') {
      line += letter;
      continue;
    }
    on_line(line);
    line.clear();
  }
}

}  // namespace qn
