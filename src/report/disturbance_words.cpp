// SPDX-License-Identifier: Apache-2.0
#include "report/disturbance_words.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "report/figure_words.h"
#include "vocab/letters.h"

namespace qn {
namespace {

std::string microtesla(double value, int decimals = 2) {
  return number_words(value, decimals) + "\u00a0µT";
}

double length_of(const Vector3& v) { return std::hypot(v[0], v[1], v[2]); }

bool any_set_aside(const StateEffect& state) {
  return std::any_of(state.visits.begin(), state.visits.end(),
                     [](const StateVisit& visit) { return !visit.used; });
}

std::string count_of(std::size_t count, const char* one, const char* many) {
  return fmt::format("{} {}", count, count == 1 ? one : many);
}

/// The one thing to know beside the figures.
std::string why_words(const DeviceEffect& device, const StateEffect& state) {
  if (state.lower_bound) return "Sensor at its rail: at least this much.";
  if (state.no_effect_seen) return "No effect seen: quiet, or skipped.";
  if (state.unproven) return "Not decided by this run; see the table.";
  if (any_set_aside(state)) return "A repeat was set aside; see the table.";
  if (device.pulsing) {
    return "Pulses every " + number_words(device.pulsing->period_s, 1) + " s; their mean.";
  }
  return "Worst near " + heading_words(state.heading.worst_at_heading_deg) + ", " +
         count_of(device.repeats, "time.", "times.");
}

std::string kind_words(const Unexplained& thing) {
  switch (thing.kind) {
    case Unexplained::Kind::step: return "A step at " + clock_words(thing.from_s);
    case Unexplained::Kind::pulse:
      return "A pulse of " + duration_words(thing.to_s - thing.from_s) + " at " +
             clock_words(thing.from_s);
    case Unexplained::Kind::spike: return "A spike at " + clock_words(thing.from_s);
    case Unexplained::Kind::train: break;
  }
  const std::string every =
      thing.period_s ? " every " + number_words(*thing.period_s, 1) + " s" : "";
  return "Pulses" + every + ", " + clock_words(thing.from_s) + " to " + clock_words(thing.to_s);
}

TextList plain(std::string title, const std::vector<std::string>& sentences) {
  TextList list{.title = std::move(title)};
  for (const std::string& sentence : sentences) {
    if (!sentence.empty()) list.items.push_back({"", sentence});
  }
  return list;
}

std::string vector_words(const UncertainField& field) {
  std::string text;
  for (std::size_t i = 0; i < 3; ++i) {
    text += (i > 0 ? ", " : "") + number_words(field.field_uT[i], 2);
  }
  return text + "\u00a0µT";
}

}  // namespace

std::string letter_of(std::size_t index) {
  std::string letters;
  for (std::size_t rest = index + 1; rest > 0; rest = (rest - 1) / 26) {
    letters.insert(letters.begin(), static_cast<char>('a' + (rest - 1) % 26));
  }
  return letters;
}

std::string clock_words(double seconds) {
  if (!std::isfinite(seconds)) return "an unknown time";
  const long long whole = std::llround(std::max(0.0, seconds));
  if (whole < 3600) return fmt::format("{:02}:{:02}", whole / 60, whole % 60);
  return fmt::format("{}:{:02}:{:02}", whole / 3600, whole % 3600 / 60, whole % 60);
}

std::string device_and_state(const DeviceEffect& device) {
  if (device.states.size() < 2) return capitalised(device.name);
  return capitalised(device.name) + ", " + device.worst_state().state;
}

std::string phase_words(const CombinationEffect& together) {
  return together.phase == "everything" ? "Everything at once" : capitalised(together.phase);
}

std::string run_facts(const DisturbanceRun& run) {
  std::string text = count_of(run.devices.size(), "device", "devices") + " in " +
                     duration_words(run.to_s - run.from_s) + ". Noise of one sample " +
                     microtesla(run.noise.white_uT, 3) + " (1\u00a0sigma), drift " +
                     microtesla(run.noise.drift_uT_per_min) + " a minute; marks and log together " +
                     number_words(std::fabs(run.common_delay_s), 1) + "\u00a0s " +
                     (run.common_delay_s < 0.0 ? "early" : "late") + " (1\u00a0sigma\u00a0" +
                     number_words(run.common_delay_sigma_s, 1) + "). Earth’s field " +
                     microtesla(run.earth.horizontal_uT) + " along the ground (1\u00a0sigma\u00a0" +
                     number_words(run.earth.sigma_horizontal_uT, 2) + "), " +
                     microtesla(run.earth.down_uT) + " down";
  if (!run.earth.source.empty()) text += ", from " + run.earth.source;
  return text + ".";
}

std::vector<HonestBar> device_bars(const DisturbanceRun& run) {
  std::vector<HonestBar> bars;
  for (std::size_t i = 0; i < run.devices.size(); ++i) {
    const DeviceEffect& device = run.devices[i];
    if (device.states.empty()) continue;
    const StateEffect& state = device.worst_state();
    HonestBar bar{.name = device_and_state(device),
                  .why = why_words(device, state),
                  .size_95 = state.heading.worst_95,
                  .estimate = state.heading.worst,
                  .verdict = state.verdict.state,
                  .number = std::to_string(i + 1)};
    // No effect is "at most", never 0.
    if (state.no_effect_seen || state.heading.worst.in_deg() < 0.05) bar.estimate.reset();
    for (const StateVisit& visit : state.visits) bar.repeats.push_back(visit.worst);
    bars.push_back(std::move(bar));
  }
  return bars;
}

std::vector<const CombinationEffect*> worst_first(const std::vector<CombinationEffect>& all) {
  std::vector<const CombinationEffect*> sorted;
  for (const CombinationEffect& one : all) sorted.push_back(&one);
  const auto upper_end_deg = [](const CombinationEffect* one) {
    const double deg = one->worst_subset_95.hi.in_deg();
    return std::isfinite(deg) ? deg : 360.0;  // what is not known is not small
  };
  std::sort(sorted.begin(), sorted.end(),
            [&](const CombinationEffect* a, const CombinationEffect* b) {
              const double a_deg = upper_end_deg(a), b_deg = upper_end_deg(b);
              return a_deg == b_deg ? a < b : a_deg > b_deg;
            });
  return sorted;
}

std::vector<HonestBar> together_bars(const DisturbanceRun& run) {
  std::vector<HonestBar> bars;
  for (const CombinationEffect* one : worst_first(run.combinations)) {
    const bool chosen = !one->worst_subset.empty();
    bars.push_back({.name = phase_words(*one),
                    .why = count_of(one->devices.size(), "device", "devices") + " together" +
                           (chosen ? ", the worst choice." : "."),
                    .size_95 = one->worst_subset_95,
                    .estimate = one->worst_subset_error,
                    .verdict = one->verdict.state});
  }
  return bars;
}

TextList not_explained(const DisturbanceRun& run) {
  TextList list{.title = "Not explained by any mark"};
  const auto tell = [&](bool spikes) {
    for (std::size_t i = 0; i < run.unexplained.size(); ++i) {
      const Unexplained& thing = run.unexplained[i];
      if ((thing.kind == Unexplained::Kind::spike) != spikes) continue;
      std::string rest =
          microtesla(length_of(thing.size_uT)) + ", up to " + degree_words(thing.worst) + ".";
      if (thing.looks_like) rest += " Like " + *thing.looks_like + ".";
      list.items.push_back({letter_of(i) + " · " + kind_words(thing), rest});
    }
  };
  // What lasted first: single samples are many, and say least.
  tell(false);
  tell(true);
  if (list.items.empty()) {
    list.items.push_back({"Nothing", "every change that stands out of the noise has a mark."});
  }
  return list;
}

TextList what_to_do(const DisturbanceRun& run) {
  TextList list{.title = "What to do, in this order"};
  const auto numbered = [&](std::string lead, std::string rest) {
    list.items.push_back(
        {fmt::format("{} · {}", list.items.size() + 1, std::move(lead)), std::move(rest)});
  };
  for (const std::string& name : run.cure_order) {
    std::string rest;
    for (const CombinationEffect& one : run.combinations) {
      if (one.best_cure != name) continue;
      rest = (one.phase == "everything" ? "everything at once" : one.phase) + " then is at " +
             degree_words(one.after_best_cure) + ".";
      break;
    }
    if (rest.empty()) rest = "move it, its return wire, or the sensor.";
    numbered("Cure " + name, rest);
  }
  for (const DeviceEffect& device : run.devices) {
    if (device.states.empty()) continue;
    const Verdict& verdict = device.worst_state().verdict;
    if (verdict.state != VerdictState::unproven || verdict.do_next.empty()) continue;
    if (verdict.do_next == run.verdict.do_next) continue;
    numbered(capitalised(device.name), verdict.do_next);
  }
  if (list.items.empty()) {
    list.items.push_back({"Nothing to cure", "no device or phase is over the limit."});
  }
  return list;
}

Framed disturbance_caution() {
  return {.title = "Before anything is worked again",
          .text =
              "Gear only on jacks; people clear of surfaces and propeller; chocks, "
              "extinguisher, battery. This program advises; local rules and the licensed "
              "person who signs decide."};
}

Framed disturbance_next_step(const DisturbanceRun& run) {
  std::string text = run.verdict.do_next;
  if (text.empty()) {
    text = "Nothing is open. Record again after any change of wiring or equipment.";
  }
  return {.title = "Do next", .text = text, .slip = true, .size_pt = 9.5};
}

std::vector<TextList> run_remarks(const DisturbanceRun& run) {
  TextList all_on{.title = "Everything at once, against the sum of the parts"};
  if (run.all_on) {
    const AllOn& all = *run.all_on;
    all_on.items.push_back({all.agree ? "They agree" : "They do not agree",
                            "measured " + vector_words(all.measured) + ", summed " +
                                vector_words(all.summed) + " (x, y, z). The difference is worth " +
                                degree_words(all.difference) + " (" +
                                band_words(all.difference_95) + ") at the worst heading."});
  }
  std::vector<TextList> lists;
  for (TextList& list : std::vector<TextList>{all_on, plain("Assumed", run.assumptions),
                                              plain("Found in the recording", run.remarks)}) {
    if (!list.items.empty()) lists.push_back(std::move(list));
  }
  return lists;
}

}  // namespace qn
