// SPDX-License-Identifier: Apache-2.0
#include "cli/disturbance_text.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>
#include <vector>

#include "cli/disturbance_table_internal.h"
#include "cli/folded_text.h"

namespace qn {
namespace {

using namespace disturbance_text_parts;

std::string vector(const Vector3& v, int digits = 2) {
  const double scale = std::pow(10.0, digits);
  const auto shown = [&](double x) { return std::round(x * scale) / scale + 0.0; };  // no -0.00
  return fmt::format("({:.{}f}, {:.{}f}, {:.{}f}) µT", shown(v[0]), digits, shown(v[1]), digits,
                     shown(v[2]), digits);
}

double size_uT(const Vector3& v) { return std::hypot(v[0], v[1], v[2]); }

std::string list(const char* title, const std::vector<std::string>& items) {
  if (items.empty()) return "";
  std::string out = fmt::format("\n{}\n", title);
  for (const std::string& item : items) {
    std::string text = indented(item, 4);
    text[2] = '-';
    out += text;
  }
  return out;
}

std::string cures(const std::vector<std::string>& names) {
  if (names.empty()) return "";
  std::string out = "\nTo come under the limit with the fewest changes, cure in this order\n";
  for (std::size_t i = 0; i < names.size(); ++i) {
    out += indented(fmt::format("{}. {}", i + 1, names[i]), 2);
  }
  return out;
}

// One action often settles several devices: it is said once, with all their names.
std::vector<std::string> next_steps(const DisturbanceRun& run) {
  std::vector<std::pair<std::string, std::vector<std::string>>> steps;
  const auto add = [&steps](const std::string& step, const std::string& name) {
    if (step.empty()) return;
    for (auto& [known, names] : steps) {
      if (known != step) continue;
      if (names.back() != name) names.push_back(name);
      return;
    }
    steps.push_back({step, {name}});
  };
  for (const DeviceEffect& device : run.devices) {
    for (const StateEffect& state : device.states) add(state.verdict.do_next, device.name);
  }
  std::vector<std::string> out;
  for (const auto& [step, names] : steps) {
    if (step != run.verdict.do_next)
      out.push_back(fmt::format("{}: {}", fmt::join(names, ", "), step));
  }
  return out;
}

std::string pulsing_words(const Pulsing& p) {
  std::string out = fmt::format("comes and goes every {:.3g} s, there {:.0f} % of the time; ",
                                p.period_s, 100.0 * p.duty);
  out += fmt::format("mean {:.2f} µT, ", size_uT(p.mean_uT));
  out += p.peak_unproven ? "its peak is unproven: the pulses are shorter than two samples"
                         : fmt::format("peak {:.2f} µT", size_uT(p.peak_uT));
  if (!p.alias_periods_s.empty()) {
    out += fmt::format("; a period of {:.3g} s fits as well", fmt::join(p.alias_periods_s, " or "));
  }
  return out + ".";
}

std::string per_ampere_words(const PerAmpere& p, bool along_ground_only) {
  const auto words = [&](const Vector3& v) {
    return along_ground_only ? fmt::format("({:.3f}, {:.3f}) µT", v[0], v[1]) : vector(v, 3);
  };
  std::string out = fmt::format("{} for each ampere, 1 sigma {}", words(p.field_uT_per_A),
                                words(p.sigma_uT_per_A));
  if (p.proportional) {
    out += *p.proportional ? "; proportional to the current" : "; not proportional to the current";
  }
  return out + ".";
}

std::vector<std::string> device_notes(const DisturbanceRun& run) {
  std::vector<std::string> out;
  const auto say = [&out](const DeviceEffect& device, const std::string& words) {
    out.push_back(device.name + ": " + words);
  };
  for (const DeviceEffect& device : run.devices) {
    if (device.pulsing) say(device, pulsing_words(*device.pulsing));
    if (device.per_ampere && !device.worst_state().no_effect_seen) {
      say(device, per_ampere_words(*device.per_ampere, run.heading_only.has_value()));
    }
    for (const std::string& remark : device.remarks) say(device, remark);
  }
  return out;
}

std::string all_on_text(const AllOn& all) {
  return "\nEverything at once\n" +
         indented(
             fmt::format("Measured {}, the sum of the parts {}: they {}. The difference is {}, "
                         "95 % band {}.",
                         vector(all.measured.field_uT), vector(all.summed.field_uT),
                         all.agree ? "agree" : "do not agree", degrees(all.difference),
                         band(all.difference_95)),
             2);
}

std::vector<std::string> unexplained_items(const DisturbanceRun& run) {
  std::vector<std::string> out;
  std::size_t spikes = 0;
  double largest_deg = 0.0;
  for (const Unexplained& u : run.unexplained) {
    if (u.kind == Unexplained::Kind::spike) {  // many and alike: one line for all
      ++spikes;
      largest_deg = std::max(largest_deg, u.worst.in_deg());
      continue;
    }
    const bool moment = u.to_s - u.from_s < 1.0;
    std::string text = moment ? fmt::format("{}  ", elapsed(u.from_s))
                              : fmt::format("{} to {}  ", elapsed(u.from_s), elapsed(u.to_s));
    text += u.kind == Unexplained::Kind::train ? "a train of pulses"
                                               : fmt::format("a {}", to_word(u.kind));
    if (u.period_s) text += fmt::format(" every {:.3g} s", *u.period_s);
    text += fmt::format(", {:.2f} µT, up to {}", size_uT(u.size_uT), degrees(u.worst));
    if (u.looks_like) text += fmt::format("; nearest in shape: {}", *u.looks_like);
    out.push_back(text + ".");
  }
  if (spikes > 0) {
    out.push_back(fmt::format("{} single sample{} far out, the largest worth {:.1f}°; left out.",
                              spikes, spikes == 1 ? "" : "s", largest_deg));
  }
  return out;
}

std::string facts(const DisturbanceDocument& document) {
  const DisturbanceRun& run = document.run;
  const auto fact = [](const char* name, const std::string& text) {
    std::string out = indented(text, 22);
    return out.replace(2, std::string_view{name}.size(), name);
  };
  std::string out = "\n";
  out += fact("recording", fmt::format("{} samples, {} to {}", document.samples,
                                       elapsed(run.from_s), elapsed(run.to_s)));
  out += fact("field along ground",
              fmt::format("{:.2f} µT: {}", run.earth.horizontal_uT, run.earth.source));
  std::string noise = fmt::format("{:.3f} µT a sample", run.noise.white_uT);
  if (run.noise.correlation_time_s > 0.0) {
    noise += fmt::format(", alike for {:.2f} s", run.noise.correlation_time_s);
  }
  if (run.noise.quantum_uT > 0.0)
    noise += fmt::format(", in steps of {:.3g} µT", run.noise.quantum_uT);
  out +=
      fact("noise", noise + fmt::format("; drift {:.3f} µT a minute", run.noise.drift_uT_per_min));
  out += fact("marks",
              fmt::format("{:.1f} s {} on the whole, 1 sigma {:.1f} s (clocks and hand)",
                          std::abs(run.common_delay_s), run.common_delay_s < 0.0 ? "early" : "late",
                          run.common_delay_sigma_s));
  return out;
}

}  // namespace

std::string disturbance_text(const DisturbanceDocument& document, bool bold) {
  const DisturbanceRun& run = document.run;
  const std::string sentence = folded(run.sentence);
  std::string out = (bold ? "\x1b[1m" + sentence + "\x1b[0m" : sentence) + "\n\n";
  std::string word{to_word(run.verdict.state)};
  out += folded(run.verdict.because.empty() ? word : word + ": " + run.verdict.because) + "\n";
  out +=
      folded(fmt::format("Limit {:.1f}°: {}.", run.limit.value.in_deg(), run.limit.basis)) + "\n";
  if (!run.verdict.do_next.empty()) out += folded("Next: " + run.verdict.do_next) + "\n";
  out += device_table(run);
  out += combination_table(run);
  if (run.all_on) out += all_on_text(*run.all_on);
  out += list("Not explained by any mark", unexplained_items(run));
  out += cures(run.cure_order);
  out += list("To settle the rest", next_steps(run));
  out += list("About the devices", device_notes(run));
  out += facts(document);
  out += list("Found in the run", run.remarks);
  out += list("Assumed", run.assumptions);
  out += "\n" +
         folded(
             "Advisory: local rules and the licensed person who signs decide. Not for "
             "navigation until verified in flight.") +
         "\n";
  return out;
}

}  // namespace qn
