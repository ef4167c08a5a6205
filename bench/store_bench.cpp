// SPDX-License-Identifier: Apache-2.0
//
// Question: how often can the book acknowledge, and what does a recording cost it?
// Budget:   three links at 400 Hz commit once a second; a commit in under 50 ms at the 99th
//           percentile, so that a prompt and a tap fit between two of them.
// Use:      qn_bench_store [FOLDER=.] [COMMITS=500]
#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <cstdint>
#include <cstdlib>
#include <ctime>
#include <filesystem>
#include <string>
#include <vector>

#include "store/book.h"

namespace {

using namespace qn;

double now_s() {
  return std::chrono::duration<double>(std::chrono::steady_clock::now().time_since_epoch()).count();
}

/// A second of three links, 400 lines of 60 bytes each, one arrival time for each line.
Stretch busy_second(std::size_t second) {
  Stretch stretch;
  stretch.from_s = static_cast<double>(second);
  stretch.until_s = stretch.from_s + 1.0;
  for (std::size_t link = 0; link < 3; ++link) {
    LinkBytes bytes{link, {}, {}};
    for (std::uint32_t i = 0; i < 400; ++i) {
      bytes.bytes += std::string(58, static_cast<char>('a' + (second + i) % 26)) + "\r\n";
      bytes.pieces.push_back({60, stretch.from_s + 0.0025 * i});
    }
    stretch.links.push_back(std::move(bytes));
  }
  return stretch;
}

void report(const char* what, std::vector<double> times_s, double cpu_s) {
  std::sort(times_s.begin(), times_s.end());
  double sum_s = 0.0;
  for (const double t : times_s) sum_s += t;
  const auto n = times_s.size();
  fmt::print(
      "{:<44} {:7.0f}/s  median {:6.2f} ms  p99 {:6.2f} ms  most {:6.2f} ms  cpu {:5.2f} ms\n",
      what, static_cast<double>(n) / sum_s, 1e3 * times_s[n / 2], 1e3 * times_s[n - 1 - n / 100],
      1e3 * times_s[n - 1], 1e3 * cpu_s / static_cast<double>(n));
}

template <class Step>
void measure(const char* what, std::size_t times, const Step& step) {
  std::vector<double> times_s;
  const std::clock_t cpu = std::clock();
  for (std::size_t i = 0; i < times; ++i) {
    const double start_s = now_s();
    if (!step(i)) {
      fmt::print("{}: failed\n", what);
      std::exit(1);
    }
    times_s.push_back(now_s() - start_s);
  }
  report(what, std::move(times_s), static_cast<double>(std::clock() - cpu) / CLOCKS_PER_SEC);
}

}  // namespace

int main(int argc, char** argv) {
  const std::string path = std::string{argc > 1 ? argv[1] : "."} + "/qn-bench-store.qnbook";
  const std::size_t commits = argc > 2 ? std::strtoul(argv[2], nullptr, 10) : 500;
  std::filesystem::remove(path);
  {
    auto book = Book::create(path, {"bench", "2026-05-14T08:00:00Z", ""});
    if (!book) {
      fmt::print("{}\n", to_text(book.error()));
      return 1;
    }
    const LinkRecord link{"link", "none", {}};
    const auto recording =
        book.value().start_recording({"bench", "2026-05-14T08:00:00Z", {}, "", {link, link, link}});
    const auto run =
        book.value().start_run({"disturbance", recording.value(), "2026-05-14T08:00:00Z", "{}"});
    std::vector<Stretch> seconds;
    for (std::size_t i = 0; i < commits; ++i) seconds.push_back(busy_second(i));
    measure("one event of a run", commits, [&](std::size_t i) {
      return book.value().append_event(run.value(), {static_cast<double>(i), "tap", "{}", ""});
    });
    measure("one second of 3 links at 400 Hz (72 kB)", commits,
            [&](std::size_t i) { return book.value().append(recording.value(), seconds[i]); });
    measure("asking for the last complete second", commits,
            [&](std::size_t) { return book.value().complete_until_s(recording.value()); });
  }
  fmt::print("the book takes {:.2f} bytes for each byte received\n",
             static_cast<double>(std::filesystem::file_size(path)) /
                 (static_cast<double>(commits) * 72000.0));
  std::filesystem::remove(path);
  return 0;
}
