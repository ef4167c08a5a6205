// SPDX-License-Identifier: Apache-2.0
#include "simulate/unplanned_events.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <numbers>

#include "simulate/random.h"

namespace qn::simulate {
namespace {

enum Stream : std::uint64_t { kTrains = 40, kSteps, kPulses, kSpikes };

Vector3 drawn_size(const Span& size_uT, Random& random) {
  const double length = size_uT.lo > 0.0
                            ? std::exp(random.uniform(std::log(size_uT.lo), std::log(size_uT.hi)))
                            : size_uT.hi;
  Vector3 out = random.direction();
  for (double& x : out) x *= length;
  return out;
}

double smooth(double u) {
  const double v = std::clamp(u, 0.0, 1.0);
  return v * v * (3.0 - 2.0 * v);
}

/// How much of the event is there, 0 to 1.
double share_at(const EventTruth& event, double time_s) {
  if (time_s < event.from_s || time_s > event.to_s) return 0.0;
  const double since_s = time_s - event.from_s;
  if (event.kind == "train") {
    const double phase = since_s / event.period_s;
    return phase - std::floor(phase) < event.duty ? 1.0 : 0.0;
  }
  if (event.kind == "pulse") {
    const double hump = std::sin(std::numbers::pi * since_s / (event.to_s - event.from_s));
    return hump * hump;
  }
  constexpr double kParking_s = 2.0;
  return smooth(since_s / kParking_s);
}

EventTruth train(const Unplanned& unplanned, double end_s, Random& random) {
  EventTruth out;
  out.kind = "train";
  const double lasts_s = std::min(random.uniform(60.0, 180.0), 0.8 * end_s);
  out.from_s = random.uniform(0.0, end_s - lasts_s);
  out.to_s = out.from_s + lasts_s;
  out.size_uT = drawn_size(unplanned.size_uT, random);
  out.period_s = random.uniform(1.5, 6.0);
  out.duty = random.uniform(0.2, 0.5);
  return out;
}

EventTruth step(const Unplanned& unplanned, double end_s, Random& random) {
  EventTruth out;
  out.kind = "step";
  out.from_s = random.uniform(0.1 * end_s, 0.9 * end_s);
  out.to_s = end_s;
  out.size_uT = drawn_size(unplanned.size_uT, random);
  return out;
}

EventTruth pulse(const Unplanned& unplanned, double end_s, Random& random) {
  EventTruth out;
  out.kind = "pulse";
  const double lasts_s = std::min(random.uniform(5.0, 15.0), 0.5 * end_s);
  out.from_s = random.uniform(0.0, end_s - lasts_s);
  out.to_s = out.from_s + lasts_s;
  out.size_uT = drawn_size(unplanned.size_uT, random);
  return out;
}

}  // namespace

std::vector<EventTruth> add_unplanned_events(const Unplanned& unplanned,
                                             const std::vector<double>& time_s, std::uint64_t seed,
                                             std::vector<Vector3>& field_uT) {
  std::vector<EventTruth> events;
  if (time_s.empty()) return events;
  const double end_s = time_s.back();
  Random trains{seed, kTrains};
  Random steps{seed, kSteps};
  Random pulses{seed, kPulses};
  Random spikes{seed, kSpikes};
  for (std::size_t i = 0; i < unplanned.trains; ++i) {
    events.push_back(train(unplanned, end_s, trains));
  }
  for (std::size_t i = 0; i < unplanned.steps; ++i) events.push_back(step(unplanned, end_s, steps));
  for (std::size_t i = 0; i < unplanned.pulses; ++i) {
    events.push_back(pulse(unplanned, end_s, pulses));
  }
  for (std::size_t k = 0; k < time_s.size(); ++k) {
    for (const EventTruth& event : events) {
      const double share = share_at(event, time_s[k]);
      for (std::size_t i = 0; i < 3; ++i) field_uT[k][i] += share * event.size_uT[i];
    }
  }
  for (std::size_t k = 0; unplanned.spike_share > 0.0 && k < time_s.size(); ++k) {
    if (spikes.uniform() >= unplanned.spike_share) continue;
    EventTruth spike;
    spike.kind = "spike";
    spike.from_s = spike.to_s = time_s[k];
    spike.size_uT = drawn_size({unplanned.spike_uT, unplanned.spike_uT}, spikes);
    for (std::size_t i = 0; i < 3; ++i) field_uT[k][i] += spike.size_uT[i];
    events.push_back(spike);
  }
  std::stable_sort(events.begin(), events.end(),
                   [](const EventTruth& a, const EventTruth& b) { return a.from_s < b.from_s; });
  return events;
}

}  // namespace qn::simulate
