// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <memory>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "vocab/equipment.h"
#include "vocab/field_vector.h"
#include "vocab/result.h"

namespace qn {

struct BenchOptions {
  std::vector<Device> equipment;
  std::uint64_t seed = 1;
  double rate_Hz = 20.0;            ///< lines of the sensor
  double speed = 1.0;               ///< of its time; 1 to 100
  std::vector<std::string> absent;  ///< devices that the aircraft does not have after all
  std::string preset = "ordinary";  ///< noise and drift, as for `disturb simulate`
  Vector3 iron_uT{};                ///< magnetised iron aboard
};

/// A made-up aircraft that stands there: its sensor speaks behind a pseudo-terminal, on a thread of
/// its own, and its switches can be thrown.
class SimulatedBench {
 public:
  /// errors  OutOfRange: preset, speed, rate, an absent device that is not in the list. Io: no
  ///         pseudo-terminal, no thread
  static Result<std::unique_ptr<SimulatedBench>> make(const BenchOptions& options);
  ~SimulatedBench();
  SimulatedBench(const SimulatedBench&) = delete;
  SimulatedBench& operator=(const SimulatedBench&) = delete;

  /// The link to ask for; stays the same when the cable is pulled.
  std::string link() const;
  bool has(std::string_view device) const;
  // From any thread:
  void turn_to(double heading_deg);
  void put(const std::string& device, const std::string& state);  ///< now
  void pull_cable(double seconds);                                ///< of its time

  /// Truth: name, state, and the worst heading error of that state in degrees.
  struct Truth {
    std::string device, state;
    double worst_heading_error_deg = 0.0;
  };
  std::vector<Truth> truth() const;
  Vector3 iron_uT() const;
  double horizontal_uT() const;
  double vertical_uT() const;

 private:
  struct State;
  explicit SimulatedBench(std::unique_ptr<State> state);
  std::unique_ptr<State> state_;
};

}  // namespace qn
