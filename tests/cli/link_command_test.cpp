// SPDX-License-Identifier: Apache-2.0
#include <sys/wait.h>
#include <unistd.h>

#include <catch2/catch.hpp>
#include <chrono>
#include <csignal>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <sstream>
#include <string>
#include <thread>
#include <vector>

#include "cli/sensor_files.h"

using namespace qn::test;
using nlohmann::json;
namespace fs = std::filesystem;

namespace {

/// The program, running beside the test, with its output in a file.
class Background {
 public:
  Background(const std::string& words, const std::string& out) {
    const std::string command = "exec \"" QN_PROGRAM "\" " + words + " > " + out + " 2>&1";
    child_ = ::fork();
    if (child_ == 0) {
      ::execl("/bin/sh", "sh", "-c", command.c_str(), nullptr);
      ::_exit(127);
    }
  }
  ~Background() {
    if (child_ > 0) finish(SIGKILL);
  }
  /// returns  its exit code; -1 when it ended by a signal
  int finish(int signal) {
    if (signal != 0) ::kill(child_, signal);
    int status = 0;
    ::waitpid(child_, &status, 0);
    child_ = -1;
    return WIFEXITED(status) ? WEXITSTATUS(status) : -1;
  }

 private:
  pid_t child_ = -1;
};

void wait_for(const std::string& path, std::uintmax_t bytes) {
  for (int i = 0; i < 1000; ++i) {
    std::error_code failed;
    if (fs::exists(path) && fs::file_size(path, failed) > bytes) return;
    std::this_thread::sleep_for(std::chrono::milliseconds(10));
  }
  FAIL(path << " did not grow");
}

std::string field_log(int rows, double scale = 1.0, double step_s = 0.02) {
  std::string text = "time_s,field_x_uT,field_y_uT,field_z_uT\n";
  for (int i = 0; i < rows; ++i) {
    text += std::to_string(step_s * i) + "," +
            std::to_string(scale * (20.0 + (i * 7 % 11) * 0.01)) + "," +
            std::to_string(scale * -3.0) + "," + std::to_string(scale * 43.0) + "\n";
  }
  return text;
}

std::size_t lines_of(const std::string& path) {
  std::size_t n = 0;
  for (const char c : bytes_of(path)) n += c == '\n' ? 1 : 0;
  return n;
}

}  // namespace

TEST_CASE("link list works without any port and names what else there is", "[cli][closed-form]") {
  const qn::test::TemporaryFolder folder;
  const auto text = run_program("link list --root " + folder.path(""));
  CHECK(text.exit_code == 0);
  CHECK(says(text.out, "No serial port"));
  CHECK(says(text.out, "udp:PORT"));
  const auto doc = json::parse(run_program("link list --json --root " + folder.path("")).out);
  CHECK(doc.at("schema") == "quietnorth/link-list/1");
  CHECK(doc.at("ports").empty());
}

TEST_CASE("link watch says in words that the unit is another", "[cli][synthetic]") {
  const qn::test::TemporaryFolder folder;
  const std::string log = folder.write("log.csv", field_log(2000, 10.0));
  const auto run =
      run_program("link watch replay:" + log + "@1000 --horizontal-uT 20 --vertical-uT 43");
  INFO(run.err);
  CHECK(run.exit_code == 0);
  CHECK(says(run.out, "gauss x 1000 (milligauss)"));
  CHECK(says(run.out, "50.0"));  // 0.02 s from row to row
  std::istringstream lines(run.out);
  for (std::string line; std::getline(lines, line);) CHECK(line.size() <= 80);
  const auto doc = json::parse(run_program("link watch replay:" + log + "@1000 --json").out);
  CHECK(doc.at("schema") == "quietnorth/links/1");
  CHECK(doc.at("links")[0].at("sources")[0].at("readings") == 2000);
}

TEST_CASE("link record reads standard input, keeps its bytes and makes the log",
          "[cli][synthetic]") {
  const qn::test::TemporaryFolder folder;
  const std::string log = folder.write("log.csv", field_log(300));
  const std::string out = folder.path("run.qnlink");
  // The program's own redirection of its input comes later on the command line and would win.
  const std::string command = "cat " + log + " | \"" QN_PROGRAM "\" link record - --out " + out +
                              " --csv " + folder.path("new.csv") + " > " + folder.path("said");
  REQUIRE(std::system(command.c_str()) == 0);
  CHECK(lines_of(folder.path("new.csv")) == 301);
  CHECK(says(bytes_of(out), field_log(300).substr(0, 200)));
  CHECK(says(bytes_of(folder.path("said")), "300 rows of link 1"));
  const auto again = run_program("link record - --out " + out);
  CHECK(again.exit_code == 4);
  CHECK(says(again.err, "already"));
}

TEST_CASE("a simulated port, unplugged and plugged in again, is recorded; Ctrl-C ends it well",
          "[cli][synthetic]") {
  const qn::test::TemporaryFolder folder;
  const std::string log = folder.write("log.csv", field_log(3000, 1.0, 0.01));
  const std::string port = folder.path("port");
  const std::string out = folder.path("run.qnlink");
  Background sensor{"link simulate --log " + log +
                        " --speed 5 --unplug-after 1 --unplug-for 0.5 "
                        "--link-path " +
                        port,
                    folder.path("sim.txt")};
  wait_for(folder.path("sim.txt"), 10);
  Background record{
      "link record " + port + "@38400 --out " + out + " --csv " + folder.path("new.csv"),
      folder.path("rec.txt")};
  // To the end of the 30 s, played in six.
  CHECK(sensor.finish(0) == 0);
  CHECK(record.finish(SIGINT) == 0);
  const std::string said = bytes_of(folder.path("rec.txt"));
  INFO(said);
  CHECK(says(said, "link 1 was lost"));
  // 250 lines went by while it was unplugged, and a few until it was opened again.
  const std::size_t rows = lines_of(folder.path("new.csv")) - 1;
  CHECK(rows > 2400);
  CHECK(rows < 2760);
  // And what disturb and sensor read.
  const auto decoded = run_program("link decode " + out + " --csv " + folder.path("again.csv"));
  CHECK(decoded.exit_code == 0);
  CHECK(bytes_of(folder.path("again.csv")) == bytes_of(folder.path("new.csv")));
}

TEST_CASE("killed at any moment, a recording can be read", "[cli][synthetic]") {
  const qn::test::TemporaryFolder folder;
  const std::string log = folder.write("log.csv", field_log(100000, 1.0, 0.0025));
  for (int round = 0; round < 5; ++round) {
    const std::string out = folder.path("run" + std::to_string(round) + ".qnlink");
    Background record{"link record replay:" + log + "@20 --out " + out, folder.path("said")};
    wait_for(out, 20000 + 7919 * static_cast<std::uintmax_t>(round));
    CHECK(record.finish(SIGKILL) == -1);
    const auto decoded = run_program("link decode " + out + " --csv " + folder.path("d.csv"));
    INFO(decoded.err);
    CHECK(decoded.exit_code == 0);
    CHECK(lines_of(folder.path("d.csv")) > 300);
  }
}

TEST_CASE("what cannot be is refused with the right exit code, and leaves no file",
          "[cli][closed-form]") {
  const qn::test::TemporaryFolder folder;
  const std::string out = folder.path("x.qnlink");
  const std::string to = " --out " + out;
  check_refused(run_program("link record nowhere" + to), 2, "link 'nowhere'");
  check_refused(run_program("link record udp:99999" + to), 2, "udp:99999");
  check_refused(run_program("link record - --columns time_s,foo" + to), 2, "--columns");
  check_refused(run_program("link record - --decoder morse" + to), 2, "morse");
  check_refused(run_program("link record - --columns 2:heading_deg" + to), 2, "no link 2");
  check_refused(run_program("link record replay:" + folder.path("none.csv") + to), 3, "none.csv");
  check_refused(run_program("link record /dev/no-such-port" + to), 4, "/dev/no-such-port");
  check_refused(run_program("link record iio --root " + folder.path("") + to), 4, "magnetometer");
  CHECK_FALSE(fs::exists(out));
  const std::string file = folder.write("x.csv", field_log(3));
  check_refused(run_program("link decode " + file + " --csv " + folder.path("y.csv")), 3, "x.csv");
  check_refused(run_program("link simulate"), 2, "--log");
  check_refused(run_program("link simulate --log " + file + " --speed 0"), 2, "--speed");
}
