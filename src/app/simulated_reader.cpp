// SPDX-License-Identifier: Apache-2.0
#include "app/simulated_reader.h"

#include <fmt/format.h>

#include <atomic>
#include <chrono>
#include <cmath>
#include <mutex>
#include <optional>
#include <thread>

#include "procedure/run_turning.h"
#include "simulate/swing_aircraft.h"

namespace qn {
namespace {

constexpr std::uint64_t kReaderStream = 9203;
constexpr double kActs_s = 4.0;     // a caution, a switch, a look at a compass
constexpr double kPushes_s = 15.0;  // from mark to mark
constexpr double kMisread_deg = 10.0;

}  // namespace

struct SimulatedReader::State {
  State(LiveRun& with, std::uint64_t seed, double speed_of)
      : run{with},
        speed{speed_of},
        aircraft{with.setup().swing.compasses, seed},
        chance{seed, kReaderStream} {
    // In the second half: before, nobody could tell.
    const auto count = static_cast<std::size_t>(with.setup().swing.stations);
    misreads_on = count / 2 + 1 + chance.below(count / 2 - 1);
    direction = chance.uniform() < 0.5 ? -1.0 : 1.0;
  }
  ~State() {
    stop = true;
    if (thread.joinable()) thread.join();
  }

  void say(run::EventKind kind, const run::Answer& button) {
    RunAnswer answer{
        fmt::format("reader-{}-{}", began_s, ++said), kind, {}, button.device, button.state, {}};
    // A book that takes nothing ends the run by itself; there is nobody here to tell.
    static_cast<void>(run.answer(answer));
  }

  void read(const RunView& view) {
    const run::AskedNumber& asked = *view.prompt.number;
    const double shown = aircraft.read(asked.device);
    double told = shown;
    const bool first = asked.device == run.setup().swing.compasses.front();
    if (view.prompt.step == misreads_on && first && misread.empty() && !asked.again) {
      told = std::fmod(shown + direction * kMisread_deg + 360.0, 360.0);
      const std::lock_guard lock{mutex};
      misread = fmt::format("{} on {}: {:03.0f} was said, {:03.0f} was shown", asked.device,
                            asked.state.substr(0, asked.state.find(' ')), told, shown);
    }
    static_cast<void>(run.answer({fmt::format("reader-{}-{}", began_s, ++said),
                                  run::EventKind::reading,
                                  {},
                                  asked.device,
                                  asked.state,
                                  told}));
  }

  void act(const RunView& view) {
    const run::Prompt& p = view.prompt;
    if (p.main && (p.must_acknowledge || view.paused)) return say(p.main->kind, *p.main);
    if (view.phase != run::State::Phase::ask) return;
    if (!p.main) {
      if (p.number && !p.number->by_link) read(view);
      return;
    }
    const std::lock_guard lock{mutex};
    if (const auto station = run::station_of(p.device)) {
      aircraft.stand_on(*station, p.state != "ccw");
    } else {
      aircraft.switch_loads(p.state == "on");
    }
    say(p.main->kind, *p.main);
  }

  void live() {
    began_s = run.now_s();
    std::uint64_t asked = 0;
    double act_at_s = 0.0;
    bool acted = true;
    while (!stop) {
      std::this_thread::sleep_for(std::chrono::duration<double>(0.05 / speed + 0.002));
      const RunView view = run.view();
      if (view.answer) return;
      if (view.say_number != asked) {
        asked = view.say_number;
        const bool pushes = view.prompt.main && run::station_of(view.prompt.device);
        act_at_s = view.now_s + (pushes ? kPushes_s : kActs_s) * chance.uniform(0.7, 1.5);
        acted = false;
      }
      if (acted || view.now_s < act_at_s) continue;
      acted = true;
      act(view);
    }
  }

  LiveRun& run;
  double speed;
  mutable std::mutex mutex;  // of the aircraft and of `misread`
  simulate::SwingAircraft aircraft;
  simulate::Random chance;
  std::size_t misreads_on = 0;
  double direction = 1.0;
  std::string misread;
  unsigned said = 0;
  double began_s = 0.0;  ///< another one after a crash: keys are never used twice
  std::atomic<bool> stop{false};
  std::thread thread;
};

SimulatedReader::SimulatedReader(LiveRun& run, std::uint64_t seed, double speed)
    : state_{std::make_unique<State>(run, seed, speed)} {
  state_->thread = std::thread{[s = state_.get()] { s->live(); }};
}

SimulatedReader::~SimulatedReader() = default;

double SimulatedReader::worst_deviation_deg(const std::string& compass, bool loads_on) const {
  const std::lock_guard lock{state_->mutex};
  simulate::SwingAircraft aircraft = state_->aircraft;
  aircraft.switch_loads(loads_on);
  return aircraft.worst_deviation_deg(compass);
}

std::string SimulatedReader::misreading() const {
  const std::lock_guard lock{state_->mutex};
  return state_->misread;
}

}  // namespace qn
