// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "procedure/disturbance_result_internal.h"

namespace qn::disturbance {
namespace {

constexpr double kSureEvidence = 15.0;  // natural logarithm of the odds that a step was seen

UncertainField field_of(const JointFields& joint, std::size_t k) {
  UncertainField out{joint.field_uT[k], {}};
  for (std::size_t a = 0; a < 3; ++a) {
    for (std::size_t b = 0; b < 3; ++b) {
      out.covariance_uT2[a][b] = joint.covariance_uT2(3 * k + a, 3 * k + b);
    }
  }
  return out;
}

class Builder {
 public:
  Builder(const Solved& solved, const JointFields& joint, const std::vector<Mark>& marks,
          const SensorRecording& recording, const DisturbanceOptions& options)
      : solved_{solved}, joint_{joint}, marks_{marks}, recording_{recording}, options_{options} {}

  std::optional<DeviceEffect> device(std::size_t item) const {
    const Item& it = solved_.run.items[item];
    if (it.what != Item::What::device) return std::nullopt;
    DeviceEffect out;
    out.name = it.device.name;
    out.kind = it.device.kind;
    out.optional = it.device.optional;
    for (std::size_t s = 0; s < solved_.states.size(); ++s) {
      if (solved_.states[s].item != item) continue;
      out.states.push_back(state(s));
      std::size_t used = 0;
      for (const StateVisit& visit : out.states.back().visits) used += visit.used ? 1U : 0U;
      out.repeats = std::max(out.repeats, used);
    }
    if (out.states.empty()) return std::nullopt;
    add_switches(item, out);
    add_pulsing(item, out);
    add_per_ampere(item, out);
    add_remarks(item, out);
    return out;
  }

 private:
  double horizontal() const { return options_.earth.horizontal_uT; }
  double moment(std::size_t s) const { return solved_.problem.times[s].mean_s; }

  StateVisit visit_of(const StateVisits& state, std::size_t r) const {
    const std::size_t v = state.visits[r];
    const Visit& visit = solved_.run.visits[v];
    StateVisit out;
    out.from_s = visit.begin ? moment(*visit.begin) : recording_.time_s.front();
    out.to_s = visit.end ? moment(*visit.end) : recording_.time_s.back();
    out.field_uT = solved_.visits.size_uT[v];
    out.field_sigma_uT = solved_.visits.sigma_uT[v];
    out.worst = worst_heading_error(out.field_uT, horizontal());
    out.used = state.reading.visits[r].what == VisitReading::What::good;
    if (!out.used) out.remark = words_for(state.reading.visits[r]);
    return out;
  }

  StateEffect state(std::size_t s) const {
    const StateVisits& from = solved_.states[s];
    const Device& device = solved_.run.items[from.item].device;
    StateEffect out;
    out.state = device.states[from.state];
    out.field = field_of(joint_, s);
    for (std::size_t r = 0; r < from.visits.size(); ++r) out.visits.push_back(visit_of(from, r));
    std::sort(out.visits.begin(), out.visits.end(),
              [](const StateVisit& a, const StateVisit& b) { return a.from_s < b.from_s; });
    if (from.reading.contested) contest(out);
    if (!from.together_with.empty()) share(out);
    out.heading = heading_error_of(out.field, options_.earth);
    if (from.reading.contested) widen_to_visits(out);
    out.lower_bound = at_rail(out);
    out.no_effect_seen = out.heading.worst_95.lo.in_deg() <= 0.0;
    judge_state(from, out);
    return out;
  }

  // No visit is better than another: the middle of them all, and a band that holds each.
  static void contest(StateEffect& out) {
    Vector3 mean{};
    for (const StateVisit& visit : out.visits) {
      for (std::size_t a = 0; a < 3; ++a) {
        mean[a] += visit.field_uT[a] / static_cast<double>(out.visits.size());
      }
    }
    out.field = {mean, {}};
    for (std::size_t a = 0; a < 3; ++a) {
      double most = 0.0;
      for (const StateVisit& visit : out.visits) {
        most = std::max(most, std::abs(visit.field_uT[a] - mean[a]) + visit.field_sigma_uT[a]);
      }
      out.field.covariance_uT2[a][a] = most * most;
    }
    for (StateVisit& visit : out.visits) visit.used = false;
  }

  // Only the sum with another device was seen: any part of it may be this one's.
  void share(StateEffect& out) const {
    for (std::size_t a = 0; a < 3; ++a) {
      double most = horizontal();
      for (const StateVisit& visit : out.visits) {
        most = std::max(most, std::abs(visit.field_uT[a]));
      }
      out.field.covariance_uT2[a][a] += most * most;
    }
  }

  void widen_to_visits(StateEffect& out) const {
    for (const StateVisit& visit : out.visits) {
      UncertainField alone{visit.field_uT, {}};
      for (std::size_t a = 0; a < 3; ++a) {
        alone.covariance_uT2[a][a] = visit.field_sigma_uT[a] * visit.field_sigma_uT[a];
      }
      const FieldHeadingError heading = heading_error_of(alone, options_.earth);
      out.heading.worst_95.lo = std::min(out.heading.worst_95.lo, heading.worst_95.lo);
      out.heading.worst_95.hi = std::max(out.heading.worst_95.hi, heading.worst_95.hi);
    }
  }

  bool at_rail(const StateEffect& out) const {
    return std::any_of(out.visits.begin(), out.visits.end(), [&](const StateVisit& visit) {
      return std::any_of(solved_.series.at_rail_s.begin(), solved_.series.at_rail_s.end(),
                         [&](const std::array<double, 2>& rail) {
                           return rail[0] < visit.to_s && rail[1] > visit.from_s;
                         });
    });
  }

  void judge_state(const StateVisits& from, StateEffect& out) const {
    out.verdict.limit = options_.limit;
    out.verdict.state = judge(out.heading.worst_95, options_.limit);
    const double lo = out.heading.worst_95.lo.in_deg();
    const double hi = out.heading.worst_95.hi.in_deg();
    const double limit = options_.limit.value.in_deg();
    out.verdict.because = out.no_effect_seen ? fmt::format("no effect seen, at most {:.1f}°", hi)
                                             : fmt::format("{:.1f} to {:.1f}°", lo, hi);
    if (!from.together_with.empty()) {
      out.unproven = true;
      out.verdict.state = VerdictState::unproven;
      out.verdict.because = fmt::format("only its sum with {} was seen", from.together_with);
      out.verdict.do_next = fmt::format("Work it and {} one at a time.", from.together_with);
      return;
    }
    if (from.reading.contested) {
      out.unproven = true;
      out.verdict.state = VerdictState::unproven;
      out.verdict.do_next = "Work it again, two times: its repeats do not agree.";
      return;
    }
    if (out.lower_bound && out.verdict.state == VerdictState::within) {
      out.verdict.state = VerdictState::unproven;
    }
    if (out.lower_bound) {
      out.unproven = out.verdict.state != VerdictState::over;
      if (out.unproven) {
        out.verdict.do_next = "Set the sensor to a wider range and work it again.";
      }
      return;
    }
    out.unproven = out.verdict.state == VerdictState::unproven;
    if (out.unproven && hi >= 179.0 && lo <= 0.0) {
      out.verdict.because = "no settled stretch was seen.";
      out.verdict.do_next = "Hold it longer: until it has settled, and ten seconds more.";
    } else if (out.unproven) {
      const DeviceKind kind = solved_.run.items[from.item].device.kind;
      const bool tilt = !options_.rigid &&
                        (kind == DeviceKind::moving || kind == DeviceKind::engine) && lo < limit;
      out.verdict.do_next =
          tilt
              ? "Log roll and pitch and work it again, or give --rigid if the airframe cannot move."
              : "Work it again and hold it longer: the band is wider than the limit allows.";
    }
    if (out.verdict.state == VerdictState::over) {
      out.verdict.do_next = "Move its wires or the sensor, or twist feed and return together.";
    }
  }

  // Of a train of pulses that was followed to its ends the first and the last pulse were seen: the
  // device was switched on at the one or in a pause before it, and off after the other.
  SwitchedOff beyond_pulses(std::size_t item, std::size_t s) const {
    for (const PulsingItem& found : solved_.pulsing) {
      if (found.item != item || !found.whole) continue;
      for (const std::size_t v : found.visits) {
        if (solved_.run.visits[v].end == s) return switched_off(found, v);
      }
      const double pause_s = (1.0 - found.shape.duty) * found.shape.period_s;
      return {0.0, pause_s / std::sqrt(12.0)};
    }
    return {};
  }

  void add_switches(std::size_t item, DeviceEffect& out) const {
    for (const std::size_t m : solved_.run.marks_of_item[item]) {
      double at = marks_[m].time_s;
      double sigma = solved_.delays.spread_s;
      for (std::size_t s = 0; s < solved_.run.switches.size(); ++s) {
        if (solved_.run.switches[s].mark != m) continue;
        const SwitchedOff beyond = beyond_pulses(item, s);
        at = moment(s) + beyond.after_s;
        sigma = std::hypot(solved_.problem.times[s].sigma_s, beyond.sigma_s);
      }
      out.switch_times_s.push_back(at);
      out.switch_sigma_s.push_back(sigma);
      out.mark_times_s.push_back(marks_[m].time_s);
    }
  }

  void add_pulsing(std::size_t item, DeviceEffect& out) const {
    for (const PulsingItem& found : solved_.pulsing) {
      if (found.item != item) continue;
      const Vector3 mean = out.worst_state().field.field_uT;
      // The part of the period nearer to the rest field is the quiet one.
      double high = 0.0, low = 0.0;
      for (std::size_t a = 0; a < 3; ++a) {
        high += std::pow(mean[a] + found.shape.high_uT[a], 2);
        low += std::pow(mean[a] + found.shape.low_uT[a], 2);
      }
      Pulsing pulsing;
      pulsing.period_s = found.shape.period_s;
      pulsing.duty = high >= low ? found.shape.duty : 1.0 - found.shape.duty;
      for (std::size_t a = 0; a < 3; ++a) {
        const double swing = found.shape.high_uT[a] - found.shape.low_uT[a];
        pulsing.peak_uT[a] = high >= low ? swing : -swing;
      }
      pulsing.mean_uT = mean;
      pulsing.peak_unproven = found.shape.short_pulses;
      pulsing.alias_periods_s = found.shape.alias_periods_s;
      out.pulsing = pulsing;
    }
  }

  // Ampere by ampere: from the log's own column where there is one, else from the equipment list.
  void add_per_ampere(std::size_t item, DeviceEffect& out) const {
    const Device& device = solved_.run.items[item].device;
    const StateEffect& state = out.worst_state();
    if (state.unproven && state.visits.empty()) return;
    double current = device.current_A.value_or(0.0);
    if (!recording_.current_A.empty()) {
      if (const auto logged = logged_step_A(state)) current = *logged;
    }
    if (!(std::abs(current) > 0.05)) return;
    PerAmpere per;
    for (std::size_t a = 0; a < 3; ++a) {
      per.field_uT_per_A[a] = state.field.field_uT[a] / current;
      per.sigma_uT_per_A[a] =
          std::sqrt(std::max(0.0, state.field.covariance_uT2[a][a])) / std::abs(current);
    }
    out.per_ampere = per;
  }

  std::optional<double> logged_step_A(const StateEffect& state) const {
    double inside = 0.0, outside = 0.0, n_in = 0.0, n_out = 0.0;
    for (const StateVisit& visit : state.visits) {
      const double reach = std::min(10.0, visit.to_s - visit.from_s);
      for (std::size_t k = 0; k < recording_.size(); ++k) {
        const double t = recording_.time_s[k];
        if (!std::isfinite(recording_.current_A[k])) continue;
        if (t > visit.from_s + 1.0 && t < visit.to_s - 1.0) {
          inside += recording_.current_A[k];
          n_in += 1.0;
        } else if (t > visit.from_s - reach && t < visit.from_s - 1.0) {
          outside += recording_.current_A[k];
          n_out += 1.0;
        }
      }
    }
    if (n_in < 3.0 || n_out < 3.0) return std::nullopt;
    return inside / n_in - outside / n_out;
  }

  void add_remarks(std::size_t item, DeviceEffect& out) const {
    out.remarks = solved_.run.item_remarks[item];
    const auto say = [&](std::string text) { out.remarks.push_back(std::move(text)); };
    for (std::size_t s = 0; s < solved_.run.switches.size(); ++s) {
      const Switch& at = solved_.run.switches[s];
      const SwitchTime& time = solved_.problem.times[s];
      if (at.item != item || !time.clear || time.log_evidence < kSureEvidence) continue;
      const double late = at.mark_s - moment(s) + solved_.delays.common_s;
      if (std::abs(late) > 2.0) {
        say(fmt::format(
            "The mark at {:.0f} s came {:.0f} s {}; the moment was taken from the trace.",
            at.mark_s, std::abs(late), late > 0.0 ? "late" : "early"));
      }
    }
    for (const StateVisits& state : solved_.states) {
      if (state.item != item) continue;
      if (!state.together_with.empty()) {
        say(fmt::format("Switched at the same moments as {}, every time: only the sum is seen.",
                        state.together_with));
        continue;
      }
      add_repeat_remarks(state, out);
    }
    const bool quiet = std::all_of(out.states.begin(), out.states.end(),
                                   [](const StateEffect& s) { return s.no_effect_seen; });
    if (quiet) {
      say(
          fmt::format("No effect seen, at most {:.1f}°: a quiet device, or a step that was skipped "
                      "each time.",
                      out.worst_state().heading.worst_95.hi.in_deg()));
    }
    for (const Warming& warming : solved_.problem.warmings) {
      if (warming.item == item) {
        say(fmt::format(
            "Climbs for about {:.0f} s after it is switched on, then holds; the figure is "
            "the settled one.",
            3.0 * warming.time_constant_s));
      }
    }
    if (out.pulsing && out.pulsing->peak_unproven) {
      say("Its pulses are too brief for this rate of samples: the mean is given, the peak is "
          "unproven.");
    }
    for (const StateEffect& state : out.states) {
      if (state.lower_bound) {
        say("The sensor was at its rail while it was on: at least this much.");
        break;
      }
    }
    add_tilt_remark(out);
  }

  void add_repeat_remarks(const StateVisits& state, DeviceEffect& out) const {
    if (state.reading.contested) {
      std::string text = "Its repeats disagree";
      for (std::size_t r = 0; r < state.visits.size(); ++r) {
        const VisitReading& reading = state.reading.visits[r];
        if (reading.what == VisitReading::What::good) continue;
        text +=
            fmt::format("; the one at {:.0f} s {}", visit_of(state, r).from_s, words_for(reading));
        break;
      }
      out.remarks.push_back(text + ".");
      return;
    }
    for (std::size_t r = 0; r < state.visits.size(); ++r) {
      const VisitReading& reading = state.reading.visits[r];
      if (reading.what == VisitReading::What::good) continue;
      out.remarks.push_back(fmt::format("Set aside: the repeat at {:.0f} s {}.",
                                        visit_of(state, r).from_s, words_for(reading)));
    }
  }

  // A tilt of the airframe turns the rest field and leaves its length as it was.
  void add_tilt_remark(DeviceEffect& out) const {
    const StateEffect& state = out.worst_state();
    if (state.no_effect_seen || !recording_.roll_deg.empty()) return;
    const Vector3 rest = rest_field_uT(solved_);
    const double total = std::hypot(rest[0], rest[1], rest[2]);
    const Vector3& b = state.field.field_uT;
    const double size = std::hypot(b[0], b[1], b[2]);
    const double along = (b[0] * rest[0] + b[1] * rest[1] + b[2] * rest[2]) / total;
    double sigma = 0.0;
    for (std::size_t a = 0; a < 3; ++a) {
      sigma += state.field.covariance_uT2[a][a] * rest[a] * rest[a] / (total * total);
    }
    sigma = std::sqrt(std::max(sigma, 1e-12));
    const double turn_deg = Angle::radians(size / total).in_deg();
    const bool moves = out.kind == DeviceKind::moving || out.kind == DeviceKind::engine;
    if (turn_deg > 1.0 || std::abs(along) > 2.0 * sigma || std::abs(along) > 0.15 * size) return;
    if (moves || size > 6.0 * sigma) {
      out.remarks.push_back(fmt::format(
          "It leaves the strength of the field as it was: could be the aircraft moving by {:.1f}°.",
          turn_deg));
    }
  }

  const Solved& solved_;
  const JointFields& joint_;
  const std::vector<Mark>& marks_;
  const SensorRecording& recording_;
  const DisturbanceOptions& options_;
};

}  // namespace

std::string words_for(const VisitReading& reading) {
  switch (reading.what) {
    case VisitReading::What::skipped: return "shows nothing: likely skipped";
    case VisitReading::What::another: return "looks like: " + reading.another;
    case VisitReading::What::unknown: return "shows something else";
    case VisitReading::What::other_size:
      return "shows the same direction at another size: it heats up, or draws another current";
    case VisitReading::What::good: break;
  }
  return "agrees";
}

std::vector<DeviceEffect> device_effects(const Solved& solved, const JointFields& joint,
                                         const std::vector<Mark>& marks,
                                         const SensorRecording& recording,
                                         const DisturbanceOptions& options) {
  const Builder builder{solved, joint, marks, recording, options};
  std::vector<DeviceEffect> out;
  for (std::size_t item = 0; item < solved.run.items.size(); ++item) {
    if (auto device = builder.device(item)) out.push_back(std::move(*device));
  }
  // Where the repeats disagree, the mean of them is no size: such a device stands by what it does
  // at least.
  const auto rank = [](const DeviceEffect& device) {
    const StateEffect& state = device.worst_state();
    const bool sized = std::any_of(state.visits.begin(), state.visits.end(),
                                   [](const StateVisit& visit) { return visit.used; });
    return sized ? state.heading.worst : state.heading.worst_95.lo;
  };
  std::stable_sort(out.begin(), out.end(),
                   [&](const DeviceEffect& a, const DeviceEffect& b) { return rank(a) > rank(b); });
  return out;
}

}  // namespace qn::disturbance

namespace qn {

const StateEffect& DeviceEffect::worst_state() const {
  return *std::max_element(
      states.begin(), states.end(),
      [](const StateEffect& a, const StateEffect& b) { return a.heading.worst < b.heading.worst; });
}

}  // namespace qn
