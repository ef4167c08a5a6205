// SPDX-License-Identifier: Apache-2.0
#include "accuracy/disturbance_columns.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <numbers>
#include <string>

namespace qn::accuracy {
namespace {

using namespace simulate;

std::size_t device_named(const DisturbanceTruth& truth, const std::string& name) {
  std::size_t d = 0;
  while (d < truth.devices.size() && truth.devices[d].device.name != name) ++d;
  return d;
}

std::vector<std::size_t> members_of(const DisturbanceTruth& truth, const std::string& label) {
  std::vector<std::size_t> out;
  for (std::size_t d = 0; d < truth.devices.size(); ++d) {
    const auto& phases = truth.devices[d].device.phases;
    const bool in = label == kEverything ||
                    std::any_of(phases.begin(), phases.end(), [&](const std::string& phase) {
                      return label == std::string{kPhasePrefix} + phase;
                    });
    if (in) out.push_back(d);
  }
  return out;
}

/// Mean over the sample's interval of a train that begins with a pulse, over its mean.
double pulses(double since_s, double interval_s, double period_s, double duty) {
  const auto on_until = [&](double t) {
    if (t <= 0.0) return 0.0;
    const double turns = std::floor(t / period_s);
    return turns * duty * period_s + std::min(t - turns * period_s, duty * period_s);
  };
  return (on_until(since_s) - on_until(since_s - interval_s)) / (interval_s * duty);
}

class Drawer {
 public:
  Drawer(const SimulatedRun& made, const TrueScript& script)
      : truth_{made.truth},
        settings_{made.truth.settings},
        time_s_{made.recording.time_s},
        script_{script} {
    const double q = settings_.quantum_uT;
    const NoiseTruth& noise = settings_.noise;
    double white = noise.white_sigma_uT * noise.white_sigma_uT + q * q / 12.0;
    if (noise.slow_correlation_time_s <= 0.0) white += noise.slow_sigma_uT * noise.slow_sigma_uT;
    out_.white_variance.assign(time_s_.size(), white);
    out_.use.assign(time_s_.size(), 1);
  }

  TrueColumns draw() {
    add([](double) { return 1.0; });  // the rest field
    out_.settled.resize(truth_.devices.size());
    for (std::size_t d = 0; d < truth_.devices.size(); ++d) {
      out_.settled[d].resize(truth_.devices[d].states.size());
      for (std::size_t s = 1; s < truth_.devices[d].states.size(); ++s) draw_state(d, s);
      shake(d);
    }
    for (const TrueTogether& set : script_.together) {
      add([&](double t) { return t >= set.on_s && t < set.off_s ? 1.0 : 0.0; });
      leave_out(set.on_s, set.all_on_s);
      leave_out(set.off_s, set.all_off_s);
    }
    draw_warm_up();
    for (const EventTruth& event : truth_.events) draw_event(event);
    return std::move(out_);
  }

 private:
  template <class Shape>
  std::size_t add(const Shape& shape) {
    std::vector<double> column(time_s_.size());
    for (std::size_t k = 0; k < column.size(); ++k) column[k] = shape(time_s_[k] + kSameMoment_s);
    out_.columns.push_back(std::move(column));
    return out_.columns.size() - 1;
  }

  void add_edge(double at_s, const Vector3& jump_uT) {
    const auto first =
        std::lower_bound(time_s_.begin(), time_s_.end(), at_s - kSameMoment_s) - time_s_.begin();
    if (static_cast<std::size_t>(first) < time_s_.size()) {
      out_.edges.push_back({static_cast<std::size_t>(first), jump_uT});
    }
  }

  void leave_out(double from_s, double to_s) {
    for (std::size_t k = 0; k < time_s_.size(); ++k) {
      if (time_s_[k] > from_s - kSameMoment_s && time_s_[k] < to_s) out_.use[k] = 0;
    }
  }

  std::vector<TrueVisit> visits_of(std::size_t d, std::size_t s, bool with_sets) const {
    std::vector<TrueVisit> out;
    for (const TrueVisit& visit : script_.visits) {
      if (visit.device == d && visit.state == s) out.push_back(visit);
    }
    for (const TrueTogether& set : script_.together) {
      const bool in = std::find(set.devices.begin(), set.devices.end(), d) != set.devices.end();
      if (with_sets && in && s == 1) out.push_back({d, s, set.on_s, set.off_s});
    }
    return out;
  }

  void draw_state(std::size_t d, std::size_t s) {
    const DeviceTruth& device = truth_.devices[d];
    const auto visits = visits_of(d, s, false);
    if (visits.empty()) return;
    // The visit a moment lies in, and its beginning.
    const auto during = [&](double t, const auto& value) {
      for (const TrueVisit& visit : visits) {
        if (t >= visit.on_s && t < visit.off_s) return value(t - visit.on_s);
      }
      return 0.0;
    };
    auto& settled = out_.settled[d][s];
    settled.push_back(add([&](double t) { return during(t, [](double) { return 1.0; }); }));
    if (device.period_s > 0.0) {
      const double interval_s = 1.0 / settings_.rate_Hz;
      add([&](double t) {
        return during(t, [&](double since_s) {
          return pulses(since_s, interval_s, device.period_s, device.duty) - 1.0;
        });
      });
    }
    if (device.inrush > 0.0) {
      add([&](double t) {
        return during(t, [&](double since_s) { return std::exp(-since_s / device.inrush_time_s); });
      });
    }
    if (device.slow_time_s > 0.0) {
      // Each visit's heat by itself, cooling afterwards; what is left adds up.
      const auto warm = visits_of(d, s, true);
      settled.push_back(add([&](double t) {
        double sum = 0.0;
        for (const TrueVisit& visit : warm) {
          if (t < visit.on_s) continue;
          const double T = device.slow_time_s;
          sum += 1.0 - std::exp(-(t - visit.on_s) / T);
          if (t >= visit.off_s) sum -= 1.0 - std::exp(-(t - visit.off_s) / T);
        }
        return sum;
      }));
    }
    const double transit_s = device.device.transit_s;
    for (const TrueVisit& visit : visits) {
      // What warms is not there yet, and not gone at once.
      const StateTruth& state = device.states[s];
      Vector3 jump{};
      for (std::size_t a = 0; a < 3; ++a) jump[a] = state.field_uT[a] - state.slow_uT[a];
      add_edge(visit.on_s, jump);
      add_edge(visit.off_s, {-jump[0], -jump[1], -jump[2]});
      leave_out(visit.on_s, visit.on_s + transit_s);
      leave_out(visit.off_s, visit.off_s + transit_s);
    }
  }

  void shake(std::size_t d) {
    const double variance = truth_.devices[d].vibration_uT * truth_.devices[d].vibration_uT;
    if (variance <= 0.0) return;
    for (std::size_t s = 1; s < truth_.devices[d].states.size(); ++s) {
      for (const TrueVisit& visit : visits_of(d, s, true)) {
        for (std::size_t k = 0; k < time_s_.size(); ++k) {
          if (time_s_[k] >= visit.on_s && time_s_[k] < visit.off_s) {
            out_.white_variance[k] += variance;
          }
        }
      }
    }
  }

  void draw_warm_up() {
    out_.warm_up = out_.warm_up_time = SIZE_MAX;
    if (settings_.drift.warm_up_uT.hi <= 0.0) return;
    const double T = truth_.warm_up_time_s;
    out_.warm_up = add([&](double t) { return 1.0 - std::exp(-t / T); });
    out_.warm_up_time = add([&](double t) { return -t / (T * T) * std::exp(-t / T); });
  }

  void draw_event(const EventTruth& event) {
    const double interval_s = 1.0 / settings_.rate_Hz;
    if (event.kind == "spike") {
      leave_out(event.from_s - 0.1 * interval_s, event.from_s + 0.1 * interval_s);
      return;
    }
    add([&](double t) {
      if (t < event.from_s || t > event.to_s) return 0.0;
      const double since_s = t - event.from_s;
      if (event.kind == "train") {
        const double turns = since_s / event.period_s;
        return turns - std::floor(turns) < event.duty ? 1.0 : 0.0;
      }
      if (event.kind == "pulse") {
        return std::pow(std::sin(std::numbers::pi * since_s / (event.to_s - event.from_s)), 2);
      }
      const double u = std::min(1.0, since_s / 2.0);
      return u * u * (3.0 - 2.0 * u);
    });
  }

  static constexpr double kSameMoment_s = 1e-9;
  const DisturbanceTruth& truth_;
  const DisturbanceSettings& settings_;
  const std::vector<double>& time_s_;
  const TrueScript& script_;
  TrueColumns out_;
};

}  // namespace

TrueScript true_script(const SimulatedRun& made) {
  TrueScript out;
  const DisturbanceTruth& truth = made.truth;
  // Every step goes from the reference and back to it: its marks come in pairs.
  for (std::size_t m = 0; m < made.marks.size(); ++m) {
    const MarkTruth& on = truth.marks[m];
    if (!on.away) continue;
    const std::string& label = made.marks[m].device;
    std::size_t back = m + 1;
    while (back < made.marks.size() && made.marks[back].device != label) ++back;
    if (back == made.marks.size()) continue;
    const MarkTruth& off = truth.marks[back];
    const std::size_t marked = device_named(truth, label);
    if (marked == truth.devices.size()) {
      out.together.push_back(
          {members_of(truth, label), on.switch_s, on.settled_s, off.switch_s, off.settled_s});
      continue;
    }
    if (on.skipped) continue;
    const std::size_t worked =
        on.worked_instead.empty() ? marked : device_named(truth, on.worked_instead);
    const auto& states = truth.devices[marked].device.states;
    const auto asked = static_cast<std::size_t>(
        std::find(states.begin(), states.end(), made.marks[m].state) - states.begin());
    const std::size_t state = std::min(asked, truth.devices[worked].states.size() - 1);
    out.visits.push_back({worked, state, on.switch_s, off.switch_s});
  }
  return out;
}

TrueColumns true_columns(const SimulatedRun& made, const TrueScript& script) {
  return Drawer{made, script}.draw();
}

}  // namespace qn::accuracy
