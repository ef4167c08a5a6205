// SPDX-License-Identifier: Apache-2.0
#include "cli/command_run.h"

#include <fmt/format.h>
#include <poll.h>
#include <unistd.h>

#include <atomic>
#include <cstdio>
#include <map>
#include <memory>
#include <mutex>
#include <thread>

#include "app/codec_disturbance.h"
#include "app/codec_sensor_fit.h"
#include "app/run_session.h"
#include "app/utc_now.h"
#include "cli/disturbance_text.h"
#include "cli/live_run_options.h"
#include "cli/run_answers.h"
#include "cli/sensor_fit_text.h"
#include "cli/swing_text.h"
#include "cli/terminal.h"

namespace qn {
namespace {

struct Options {
  std::string book;
  LiveRunOptions live;
  bool json = false;
  bool check = false;
};

/// Shows every new sentence on standard error, and hands on what is typed.
class Conversation {
 public:
  explicit Conversation(LiveRun& run) : run_{run}, began_{utc_now()} {
    stop_listening_ = run_.listen({[this] { show(); }, nullptr});
    show();
    keyboard_ = std::thread{[this] { read_lines(); }};
  }
  ~Conversation() {
    ended_ = true;
    keyboard_.join();
    stop_listening_();
  }
  Conversation(const Conversation&) = delete;
  Conversation& operator=(const Conversation&) = delete;

 private:
  void show() {
    const RunView view = run_.view();
    const std::lock_guard lock{mutex_};
    for (const RunLink& link : view.links) {
      const std::string wrong = link.wrong.empty() ? "" : link.wrong.front();
      if (wrong != wrong_[link.number] && !wrong.empty()) {
        print_note(fmt::format("Link {}: {}", link.number, wrong));
      }
      wrong_[link.number] = wrong;
    }
    if (view.say_number == said_ && view.prompt.noticed == noticed_) return;
    said_ = view.say_number;
    noticed_ = view.prompt.noticed;
    std::fputs(prompt_text(view).c_str(), stderr);
  }

  void take(const std::string& line) {
    const auto meant = typed_answer(line, run_.view(), run_.now_s());
    if (!meant) return print_note(to_text(meant.error()));
    if (meant.value().reading) {
      const auto typed = run_.type(*meant.value().reading);
      if (!typed) print_note(to_text(typed.error()));
      return;
    }
    RunAnswer answer = *meant.value().answer;
    answer.key = fmt::format("terminal-{}-{}", began_, ++count_);
    const auto taken = run_.answer(answer);
    if (!taken) print_note(to_text(taken.error()));
  }

  void read_lines() {
    std::string line;
    while (!ended_) {
      pollfd waiting{STDIN_FILENO, POLLIN, 0};
      if (::poll(&waiting, 1, 100) <= 0) continue;
      char c = 0;
      if (::read(STDIN_FILENO, &c, 1) != 1) return;  // nobody will type any more
      if (c != '\n') {
        line += c;
        continue;
      }
      take(line);
      line.clear();
    }
  }

  LiveRun& run_;
  std::string began_;
  std::mutex mutex_;
  std::uint64_t said_ = 0;
  std::string noticed_;
  std::map<std::size_t, std::string> wrong_;
  unsigned count_ = 0;
  std::atomic<bool> ended_{false};
  std::function<void()> stop_listening_;
  std::thread keyboard_;
};

std::string text_of(const RunAnswered& answered) {
  if (answered.swing) return swing_text(*answered.swing);
  return answered.fit ? sensor_fit_text(*answered.fit)
                      : disturbance_text(*answered.disturbance, false);
}

int lead(const Options& options) {
  const auto request = options.live.request(options.book);
  if (!request) return print_error(request.error());
  auto session = RunSession::open(request.value());
  if (!session) return print_error(session.error());
  LiveRun& live = session.value()->live();
  live.stop_on_signals();
  Result<Done> ran{Done{}};
  {
    const Conversation conversation{live};
    ran = live.run();
  }
  if (!ran) return print_error(ran.error());
  const auto answered = live.answered();
  if (!answered) {
    print_note("Left before its end. What was recorded is kept; go on with --go-on.");
    return options.check ? kExitNotWithin : kExitDone;
  }
  print_note(answered->kept);
  const std::string truth = session.value()->truth_text();
  if (!truth.empty()) std::fprintf(stderr, "\n%s", truth.c_str());
  const int printed = print_answer(options.json ? answered->json + "\n" : text_of(*answered));
  if (printed != kExitDone) return printed;
  return options.check && !answered->all_within ? kExitNotWithin : kExitDone;
}

}  // namespace

void add_run_command(CLI::App& program, int& exit_code) {
  auto options = std::make_shared<Options>();
  CLI::App* command = program.add_subcommand(
      "run", "lead one person through a disturbance run, a turning or a swing");
  command->add_option("book", options->book, "the aircraft's book, with its equipment list")
      ->required();
  add_live_run_options(*command, options->live);
  command->add_flag("--json", options->json, "print the answer as one JSON document");
  command->add_flag("--check", options->check, "exit 1 unless every verdict is within");
  command->callback([options, &exit_code] { exit_code = lead(*options); });
}

}  // namespace qn
