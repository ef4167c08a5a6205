// SPDX-License-Identifier: Apache-2.0
#include "accuracy/disturbance_score.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "accuracy/disturbance_bound.h"
#include "accuracy/disturbance_cases.h"
#include "accuracy/disturbance_judged.h"

namespace qn::accuracy {
namespace {

using namespace simulate;

constexpr double kNone = std::numeric_limits<double>::quiet_NaN();
constexpr double kNormal95 = 1.959963984540054;
constexpr double kClear = 0.3;  // of the limit away from it: a device that can be judged
constexpr double kOver = 1.3;   // of the limit
constexpr const char* kAxis[3] = {"x", "y", "z"};

class Scorer {
 public:
  Scorer(const DisturbanceCase& drawn, const DisturbanceRun& run, std::uint64_t seed)
      : drawn_{drawn}, run_{run}, seed_{seed}, bounds_{disturbance_bound(drawn.made)} {}

  DisturbanceScore score() {
    for (std::size_t d = 0; d < drawn_.made.truth.devices.size(); ++d) match(d);
    for (const Judged& j : states_) {
      fields(j);
      heading(j);
      verdict(j);
    }
    order();
    if (run_.all_on && drawn_.made.truth.settings.effects.all_on_extra_uT == 0.0) {
      out_.counts.all_on_disagrees.add(!run_.all_on->agree);
    }
    return std::move(out_);
  }

 private:
  void match(std::size_t d) {
    const DeviceTruth& device = drawn_.made.truth.devices[d];
    for (const DeviceEffect& effect : run_.devices) {
      if (effect.name != device.device.name) continue;
      for (const StateEffect& state : effect.states) {
        for (std::size_t s = 1; s < device.states.size(); ++s) {
          if (device.states[s].state != state.state) continue;
          Judged j{&device,
                   &device.states[s],
                   &state,
                   bounds_[d][s],
                   drawn_.made.truth.settings.horizontal_uT,
                   false};
          j.contested = std::none_of(state.visits.begin(), state.visits.end(),
                                     [](const StateVisit& visit) { return visit.used; });
          out_.counts.never_worked.add(j.bound.visits == 0);
          if (j.bound.visits > 0) states_.push_back(j);
        }
      }
    }
  }

  void miss(const Judged& j, double z, const char* what) {
    out_.misses.push_back({what, z, j.described(what, drawn_.made, seed_)});
  }

  void fields(const Judged& j) {
    double worst_z = 0.0;
    for (std::size_t axis = 0; axis < 3; ++axis) {
      const double sd = j.sd_uT(axis);
      Reading reading;
      reading.quantity =
          std::string{"field "} + kAxis[axis] + (j.moving() ? ", gear, flaps, engine, µT" : ", µT");
      reading.truth = j.truth->field_uT[axis];
      reading.lo = j.effect->field.field_uT[axis] - kNormal95 * sd;
      reading.hi = j.effect->field.field_uT[axis] + kNormal95 * sd;
      reading.error = j.sized() ? j.error_uT(axis) : kNone;
      reading.bound = j.bound.sd_uT[axis];
      out_.readings.push_back(reading);
      if (j.sized() && !j.moving()) {
        out_.finding.add(reading.error, j.bound.finding_uT[axis], reading.bound);
      }
      worst_z = std::max(worst_z, std::abs(j.error_uT(axis)) / std::max(sd, 1e-9));
      if (j.sized()) {
        worst_z = std::max(worst_z, std::abs(j.error_uT(axis)) / (2.5 * reading.bound));
      }
    }
    if (worst_z > 2.5) miss(j, worst_z, "field");
  }

  void heading(const Judged& j) {
    const double truth = j.truth->worst_heading_error_deg;
    const bool clear = truth > 3.0 * j.sigma_deg();
    const Band95& band = j.effect->heading.worst_95;
    Reading reading;
    reading.quantity = clear ? "worst heading error over 3 sigma" : "worst heading error near zero";
    if (j.moving()) reading.quantity += ", gear, flaps, engine";
    reading.truth = truth;
    reading.lo = clear ? band.lo.in_deg() : 0.0;
    reading.hi = band.hi.in_deg();
    reading.error = reading.bound = kNone;
    out_.readings.push_back(reading);
  }

  void verdict(const Judged& j) {
    const double truth = j.truth->worst_heading_error_deg;
    const double limit = drawn_.options.limit.value.in_deg();
    const VerdictState said = j.effect->verdict.state;
    DisturbanceCounts& counts = out_.counts;
    if (truth == 0.0) {
      const bool above = j.effect->heading.worst_95.lo.in_deg() > 0.0;
      counts.zero_over.add(said == VerdictState::over);
      counts.zero_above_zero.add(above);
      if (said == VerdictState::over) miss(j, 1000.0, "ZERO CALLED OVER");
    }
    if (truth > kOver * limit) {
      counts.over_as_within.add(said == VerdictState::within);
      if (said == VerdictState::within) miss(j, 1000.0, "OVER CALLED WITHIN");
    }
    const bool marks_sound = j.marks_sound(drawn_.made);
    counts.contested.add(j.contested);
    counts.without_size.add(!j.sized());
    if (marks_sound) counts.contested_sound.add(j.contested);
    if (marks_sound && std::abs(truth - limit) > kClear * limit) {
      const bool unproven = said == VerdictState::unproven;
      const bool tilt_open = j.moving() && !drawn_.options.rigid;
      (tilt_open ? counts.unproven_moving : counts.unproven).add(unproven);
      if (unproven && !tilt_open) miss(j, 20.0, "UNPROVEN THOUGH CLEAR");
    }
  }

  void order() {
    std::vector<const Judged*> worst;  // of each device
    for (const Judged& j : states_) {
      const auto same = std::find_if(worst.begin(), worst.end(), [&](const Judged* other) {
        return other->device == j.device;
      });
      if (same == worst.end()) {
        worst.push_back(&j);
      } else if (j.truth->worst_heading_error_deg > (*same)->truth->worst_heading_error_deg) {
        *same = &j;
      }
    }
    std::sort(worst.begin(), worst.end(), [](const Judged* a, const Judged* b) {
      return a->truth->worst_heading_error_deg > b->truth->worst_heading_error_deg;
    });
    if (worst.size() < 2) return;
    const double ahead =
        worst[0]->truth->worst_heading_error_deg - worst[1]->truth->worst_heading_error_deg;
    if (!(ahead > 3.0 * std::hypot(worst[0]->sigma_deg(), worst[1]->sigma_deg()))) return;
    const bool first = run_.devices.front().name == worst[0]->device->device.name;
    out_.counts.worst_first.add(first);
    if (!first) miss(*worst[0], 50.0, "NOT FIRST");
  }

  const DisturbanceCase& drawn_;
  const DisturbanceRun& run_;
  std::uint64_t seed_;
  std::vector<std::vector<StateBound>> bounds_;
  std::vector<Judged> states_;
  DisturbanceScore out_;
};

}  // namespace

DisturbanceScore score_disturbance(std::string_view table, std::uint64_t seed) {
  const DisturbanceCase drawn = draw_disturbance_case(table, seed);
  const auto run =
      analyse_disturbance(drawn.made.recording, drawn.made.marks, drawn.options, serial_for);
  if (!run) {
    DisturbanceScore out;
    out.refusal = run.error().what;
    return out;
  }
  return Scorer{drawn, run.value(), seed}.score();
}

}  // namespace qn::accuracy
