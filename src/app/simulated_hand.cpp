// SPDX-License-Identifier: Apache-2.0
#include "app/simulated_hand.h"

#include <fmt/format.h>

#include <atomic>
#include <chrono>
#include <optional>
#include <thread>

#include "procedure/run_turning.h"
#include "simulate/random.h"

namespace qn {
namespace {

using Phase = run::State::Phase;
constexpr std::uint64_t kStream = 9101;
constexpr double kReads_s = 4.0;    // a caution
constexpr double kHand_s = 3.0;     // to the switch
constexpr double kSilent_s = 12.0;  // who forgot to say so is asked, or notices at last
constexpr double kPulled_s = 6.0;
constexpr double kTurns_s = 19.0;  // half a turn, the longest way

}  // namespace

struct SimulatedHand::State {
  State(LiveRun& with, SimulatedBench& at, const HandOptions& how)
      : run{with}, bench{at}, options{how}, random{how.seed, kStream} {}
  ~State() {
    stop = true;
    if (thread.joinable()) thread.join();
  }

  void say(run::EventKind kind, const RunView& view, std::optional<double> at_s = {}) {
    RunAnswer answer{fmt::format("hand-{}-{}", began_s, ++said), kind, at_s, {}, {}};
    if (kind == run::EventKind::tap && view.prompt.main) {
      answer.device = view.prompt.main->device;
      answer.state = view.prompt.main->state;
    }
    // A book that takes nothing ends the run by itself; there is nobody here to tell.
    static_cast<void>(run.answer(answer));
  }

  /// A new question: how long until the switch is thrown, and until that is said.
  void plan(const RunView& view) {
    question = view.say_number;
    thrown = answered = false;
    throw_at_s = view.now_s + kHand_s + random.uniform(-1.0, 1.5);
    const double kind = random.uniform(0.0, 1.0);
    late_s = random.uniform(0.2, 1.0);
    says_ago = false;
    if (kind < 0.1) {
      late_s = random.uniform(4.0, 7.0);
      says_ago = true;  // "a few seconds ago"
    } else if (kind < 0.2) {
      late_s = kSilent_s;
    }
  }

  void work(const std::string& device, const std::string& state) {
    if (state != run::kOnStation) return bench.put(device, state);
    if (const auto heading_deg = run::station_of(device)) bench.turn_to(*heading_deg);
  }

  void throw_switch(const RunView& view) {
    if (thrown || view.phase != Phase::ask || view.paused || view.now_s < throw_at_s) return;
    thrown = true;
    work(view.prompt.device, view.prompt.state);
  }

  void answer(const RunView& view) {
    const run::Prompt& p = view.prompt;
    if (answered || !p.main) return;
    if (p.must_acknowledge || view.paused) {
      if (view.now_s > throw_at_s - kHand_s + kReads_s) answered = true, say(p.main->kind, view);
      return;
    }
    if (view.phase != Phase::ask) return;
    const bool offered = p.second && p.second->kind == run::EventKind::not_yet;
    const bool set = p.device == "*" || p.device.rfind("phase:", 0) == 0;
    if (p.state == run::kOnStation) {
      // Told when it stands, not when the turning begins.
      if (thrown && view.now_s > throw_at_s + kTurns_s) answered = true, say(p.main->kind, view);
      return;
    }
    if (!set && !bench.has(p.device)) {
      if (view.now_s > throw_at_s) answered = true, say(run::EventKind::no_such_device, view);
      return;
    }
    if (!thrown) return;
    if (offered && view.now_s > throw_at_s + 2.0) {
      answered = true;
      say(p.main->kind, view, view.now_s - p.main->ago_s);
    } else if (!offered && view.now_s > throw_at_s + late_s) {
      answered = true;
      say(run::EventKind::tap, view, says_ago ? view.now_s - 5.0 : view.now_s);
    }
  }

  void live() {
    began_s = run.now_s();
    for (const Mark& mark : run.marks()) work(mark.device, mark.state);
    while (!stop) {
      std::this_thread::sleep_for(std::chrono::duration<double>(0.05 / options.speed + 0.002));
      const RunView view = run.view();
      if (view.answer) return;
      if (!question || *question != view.say_number) {
        // The same question put again as an offer is the same hand at the same switch.
        const bool same = view.phase == Phase::ask && view.asked_s == asked_s && thrown;
        if (same) {
          question = view.say_number;
        } else {
          plan(view);
          asked_s = view.asked_s;
        }
      }
      throw_switch(view);
      if (options.answers) answer(view);
      if (!pulled && view.prompt.step > 3 && view.phase == Phase::wait) {
        pulled = true;
        bench.pull_cable(kPulled_s);
      }
    }
  }

  LiveRun& run;
  SimulatedBench& bench;
  HandOptions options;
  simulate::Random random;
  std::optional<std::uint64_t> question;
  double asked_s = -1.0, throw_at_s = 0.0, late_s = 0.5;
  bool thrown = false, answered = false, says_ago = false, pulled = false;
  unsigned said = 0;
  double began_s = 0.0;  ///< another one after a crash: keys are never used twice
  std::atomic<bool> stop{false};
  std::thread thread;
};

SimulatedHand::SimulatedHand(LiveRun& run, SimulatedBench& bench, const HandOptions& options)
    : state_{std::make_unique<State>(run, bench, options)} {
  state_->thread = std::thread{[s = state_.get()] { s->live(); }};
}

SimulatedHand::~SimulatedHand() = default;

}  // namespace qn
