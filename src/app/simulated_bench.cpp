// SPDX-License-Identifier: Apache-2.0
#include "app/simulated_bench.h"

#include <fmt/format.h>
#include <fmt/ranges.h>
#include <unistd.h>

#include <algorithm>
#include <atomic>
#include <chrono>
#include <filesystem>
#include <mutex>
#include <optional>
#include <thread>

#include "acquire/monotonic_clock.h"
#include "acquire/pseudo_terminal.h"
#include "simulate/disturbance_settings.h"
#include "simulate/live_aircraft.h"

namespace qn {
namespace {

constexpr auto kNap = std::chrono::milliseconds(4);
constexpr const char* kHeader = "time_s,field_x_uT,field_y_uT,field_z_uT\n";
std::atomic<unsigned> benches{0};

Error wrong(std::string what, std::string where, std::string expected) {
  return {ErrorKind::OutOfRange, std::move(what), std::move(where), std::move(expected),
          "choose another; nothing was begun"};
}

std::optional<Error> fault_of(const BenchOptions& options) {
  if (!(options.speed >= 1.0 && options.speed <= 100.0)) {
    return wrong(fmt::format("a speed of {}", options.speed), "option --speed", "1 to 100 times");
  }
  if (!(options.rate_Hz >= 1.0 && options.rate_Hz * options.speed <= 4000.0)) {
    return wrong(
        fmt::format("{} lines a second at {} times the speed", options.rate_Hz, options.speed),
        "option --speed", "1 line a second or more, 4000 at the most");
  }
  for (const std::string& name : options.absent) {
    const bool known = std::any_of(options.equipment.begin(), options.equipment.end(),
                                   [&](const Device& d) { return d.name == name; });
    if (!known) {
      return wrong(fmt::format("the list has no '{}'", name), "option --absent",
                   "a device of the book's equipment list");
    }
  }
  return std::nullopt;
}

}  // namespace

struct SimulatedBench::State {
  State(const BenchOptions& options, const simulate::DisturbanceSettings& drawn)
      : settings{drawn},
        interval_s{1.0 / options.rate_Hz},
        iron_uT{options.iron_uT},
        clock{options.speed},
        aircraft{options.equipment, settings, options.seed, options.absent} {
    aircraft.carry_iron(iron_uT);
  }
  ~State() {
    stop = true;
    if (thread.joinable()) thread.join();
  }

  void send(double time_s) {
    const Vector3 b = aircraft.field_at(time_s);
    const std::string line = fmt::format("{:.4f},{:.4f},{:.4f},{:.4f}\n", time_s, b[0], b[1], b[2]);
    const bool listened = terminal->listened_to();
    terminal->send(listened && !heard ? kHeader + line : line);
    heard = listened;
  }

  void speak() {
    double next_s = 0.0;
    while (!stop) {
      std::this_thread::sleep_for(kNap);
      const std::lock_guard lock{mutex};
      const double now_s = clock.now_s();
      if (plug_in_at_s && now_s >= *plug_in_at_s && terminal->plug_in()) plug_in_at_s.reset();
      for (; next_s <= now_s; next_s += interval_s) {
        if (plug_in_at_s) {
          aircraft.field_at(next_s);  // its noise goes on, though nobody hears it
        } else {
          send(next_s);
        }
      }
    }
  }

  simulate::DisturbanceSettings settings;
  double interval_s;
  Vector3 iron_uT;
  BootClock clock;
  std::mutex mutex;  // of all below
  simulate::LiveAircraft aircraft;
  std::unique_ptr<PseudoTerminal> terminal;
  std::optional<double> plug_in_at_s;  ///< the cable is out until then
  bool heard = false;
  std::atomic<bool> stop{false};
  std::thread thread;
};

SimulatedBench::SimulatedBench(std::unique_ptr<State> state) : state_{std::move(state)} {}
SimulatedBench::~SimulatedBench() = default;

Result<std::unique_ptr<SimulatedBench>> SimulatedBench::make(const BenchOptions& options) {
  if (auto fault = fault_of(options)) return std::move(*fault);
  const auto preset = simulate::disturbance_preset(options.preset);
  if (!preset) {
    return wrong(fmt::format("there is no preset '{}'", options.preset), "option --preset",
                 fmt::format("one of {}", fmt::join(simulate::disturbance_presets(), ", ")));
  }
  auto state = std::make_unique<State>(options, *preset);
  std::error_code failed;
  const std::string link =
      fmt::format("{}/quietnorth-sensor-{}-{}",
                  std::filesystem::temp_directory_path(failed).string(), ::getpid(), ++benches);
  auto terminal = PseudoTerminal::make(link);
  if (!terminal) return terminal.error();
  state->terminal = std::move(terminal).value();
  state->thread = std::thread{[s = state.get()] { s->speak(); }};
  return std::unique_ptr<SimulatedBench>{new SimulatedBench{std::move(state)}};
}

std::string SimulatedBench::link() const {
  const std::lock_guard lock{state_->mutex};
  return "serial:" + state_->terminal->path() + "@115200";
}

bool SimulatedBench::has(std::string_view device) const {
  const std::lock_guard lock{state_->mutex};
  return state_->aircraft.has(std::string{device});
}

void SimulatedBench::put(const std::string& device, const std::string& state) {
  const std::lock_guard lock{state_->mutex};
  state_->aircraft.put(state_->clock.now_s(), device, state);
}

void SimulatedBench::turn_to(double heading_deg) {
  const std::lock_guard lock{state_->mutex};
  state_->aircraft.turn_to(state_->clock.now_s(), heading_deg);
}

void SimulatedBench::pull_cable(double seconds) {
  const std::lock_guard lock{state_->mutex};
  if (state_->plug_in_at_s) return;
  state_->terminal->unplug();
  state_->plug_in_at_s = state_->clock.now_s() + seconds;
}

std::vector<SimulatedBench::Truth> SimulatedBench::truth() const {
  std::vector<Truth> out;
  for (const auto& device : state_->aircraft.devices()) {
    for (std::size_t s = 1; s < device.states.size(); ++s) {
      const double deg = device.absent ? 0.0 : device.states[s].worst_heading_error_deg;
      out.push_back({device.device.name, device.device.states[s], deg});
    }
  }
  return out;
}

Vector3 SimulatedBench::iron_uT() const { return state_->iron_uT; }
double SimulatedBench::horizontal_uT() const { return state_->settings.horizontal_uT; }
double SimulatedBench::vertical_uT() const { return state_->settings.down_uT; }

}  // namespace qn
