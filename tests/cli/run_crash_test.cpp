// SPDX-License-Identifier: Apache-2.0
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <catch2/catch.hpp>
#include <chrono>
#include <csignal>
#include <nlohmann/json.hpp>
#include <string>
#include <thread>

#include "cli/sensor_files.h"

using namespace qn::test;
using nlohmann::json;

namespace {

/// Lets the program run for so long and kills it; its exit code when it ended before, else -1.
int run_and_kill(const std::string& words, std::chrono::milliseconds after) {
  const pid_t child = ::fork();
  if (child == 0) {
    const std::string command =
        "exec \"" QN_PROGRAM "\" " + words + " > /dev/null 2>&1 < /dev/null";
    ::execl("/bin/sh", "sh", "-c", command.c_str(), nullptr);
    ::_exit(127);
  }
  const auto end = std::chrono::steady_clock::now() + after;
  int status = 0;
  while (std::chrono::steady_clock::now() < end) {
    if (::waitpid(child, &status, WNOHANG) == child) {
      return WIFEXITED(status) ? WEXITSTATUS(status) : -1;
    }
    std::this_thread::sleep_for(std::chrono::milliseconds(10));
  }
  ::kill(child, SIGKILL);
  ::waitpid(child, &status, 0);
  return -1;
}

}  // namespace

TEST_CASE("killed again and again, a run goes on where it was, and nothing is lost",
          "[cli][synthetic]") {
  const TemporaryFolder folder;
  const std::string list = folder.write("list.csv", "device,kind,states\nLamp,steady,off|on\n");
  const std::string book = folder.path("a.qnbook");
  REQUIRE(run_program("book new " + book + " --aircraft Brindle --equipment " + list).exit_code ==
          0);
  const std::string rehearse = "run " + book + " --rehearse 4 --auto --speed 100";
  std::size_t events = 0, rounds = 0;
  int ended = run_and_kill(rehearse, std::chrono::milliseconds(900));
  for (; ended == -1 && rounds < 4; ++rounds) {
    const auto shown = run_program("book show " + book + " --json");
    INFO(shown.err);
    REQUIRE(shown.exit_code == 0);
    const json run = json::parse(shown.out).at("runs").at(0);
    CHECK(run.at("events").get<std::size_t>() >= events);
    events = run.at("events").get<std::size_t>();
    CHECK(run_program("book check " + book).exit_code == 0);
    ended = run_and_kill(rehearse + " --go-on", std::chrono::milliseconds(600 + 170 * rounds));
  }
  CHECK(rounds >= 1);
  CHECK(events > 2);
  if (ended == -1) {
    const auto last = run_program(rehearse + " --go-on");
    INFO(last.err);
    ended = last.exit_code;
  }
  CHECK(ended == 0);
  const json whole = json::parse(run_program("book show " + book + " --json").out);
  CHECK(whole.at("runs").size() == 1);
  CHECK(whole.at("recordings").size() == 1);
  CHECK(whole.at("findings").size() == 1);
  CHECK(run_program("book check " + book).exit_code == 0);
}
