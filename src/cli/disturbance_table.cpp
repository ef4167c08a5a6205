// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>

#include "cli/disturbance_table_internal.h"
#include "cli/folded_text.h"

namespace qn::disturbance_text_parts {
namespace {

constexpr std::size_t kNameColumns = 25;
constexpr std::size_t kStateColumns = 11;

std::size_t columns_of(const std::string& text) {
  return static_cast<std::size_t>(std::count_if(text.begin(), text.end(), [](char c) {
    return (static_cast<unsigned char>(c) & 0xC0U) != 0x80U;
  }));
}

std::string filled(const std::string& text, std::size_t columns) {
  const std::size_t used = columns_of(text);
  return text + std::string(used < columns ? columns - used : 0, ' ');
}

// A name wider than its column stands on a line of its own: nothing is cut.
std::string name_cells(const std::string& name, const std::string& state) {
  std::string out;
  std::string first = name, second = state;
  const bool wide = columns_of(name) >= kNameColumns || columns_of(state) >= kStateColumns;
  if (wide) {
    out += indented(state.empty() || name.empty() ? name + state : name + ", " + state, 2);
    first.clear();
    second.clear();
  }
  return out + "  " + filled(first, kNameColumns) + filled(second, kStateColumns);
}

std::string row(const std::string& names, const std::string& estimate, const std::string& range,
                const std::string& near, const Verdict& verdict) {
  return names + fmt::format("{:>6}  ", estimate) + filled(range, 17) + filled(near, 7) +
         std::string{to_word(verdict.state)} + "\n";
}

std::string near(const FieldHeadingError& heading) {
  const double at = heading.worst_at_heading_deg;
  if (!std::isfinite(at) || heading.worst.in_deg() >= 180.0) return "";
  return fmt::format("{:03.0f}", std::fmod(std::round(at), 360.0));
}

std::string state_row(const DeviceEffect& device, const StateEffect& state, bool first) {
  const std::string names = name_cells(first ? device.name : "", state.state);
  const FieldHeadingError& heading = state.heading;
  if (state.no_effect_seen && heading.worst_95.hi.in_deg() < 180.0) {
    return row(names, "", "at most " + degrees(heading.worst_95.hi), "", state.verdict);
  }
  if (state.lower_bound) {
    return row(names, "", "at least " + degrees(heading.worst_95.lo), near(heading), state.verdict);
  }
  return row(names, degrees(heading.worst), band(heading.worst_95), near(heading), state.verdict);
}

std::string header(const char* name, const char* state) {
  return name_cells(name, state) + " worst  " + filled("95 % band", 17) + filled("near", 7) +
         "verdict\n";
}

// Only where leaving optional devices off makes it worse than all of them on.
std::string worst_choice(const CombinationEffect& c) {
  if (c.worst_subset_error.in_deg() < c.heading.worst.in_deg() + 0.05) return "";
  const std::string which =
      c.worst_subset.empty()
          ? "every optional device off"
          : fmt::format("{} on and the other optional ones off", fmt::join(c.worst_subset, ", "));
  return indented(fmt::format("Worst with {}: {}, 95 % band {}.", which,
                              degrees(c.worst_subset_error), band(c.worst_subset_95)),
                  4);
}

std::string combination_rows(const CombinationEffect& c) {
  std::string out = row(name_cells(c.phase, ""), degrees(c.heading.worst), band(c.heading.worst_95),
                        near(c.heading), c.verdict);
  out += indented(fmt::format("{}", fmt::join(c.devices, ", ")), 4);
  out += worst_choice(c);
  if (c.best_cure) {
    out += indented(fmt::format("Curing the {} helps most: it leaves {}.", *c.best_cure,
                                degrees(c.after_best_cure)),
                    4);
  }
  return out;
}

}  // namespace

std::string indented(const std::string& text, std::size_t spaces) {
  const std::string margin(spaces, ' ');
  std::string out = margin;
  for (const char c : folded(text, kTerminalColumns - spaces)) {
    out += c;
    if (c == '\n') out += margin;
  }
  return out + "\n";
}

std::string band(const Band95& b) {
  if (!std::isfinite(b.lo.in_deg()) || !std::isfinite(b.hi.in_deg())) return "not known";
  if (b.lo.in_deg() >= 180.0) return "heading lost";
  if (b.hi.in_deg() >= 180.0) return fmt::format("{:.1f} or more", b.lo.in_deg());
  return fmt::format("{:.1f} to {:.1f}", b.lo.in_deg(), b.hi.in_deg());
}

std::string elapsed(double time_s) {
  const long long s = std::llround(std::abs(time_s));
  return fmt::format("{}{:02}:{:02}", time_s < 0.0 && s > 0 ? "-" : "", s / 60, s % 60);
}

std::string degrees(Angle angle) {
  if (!std::isfinite(angle.in_deg())) return "–";
  return fmt::format("{:.1f}°", angle.in_deg());
}

std::string device_table(const DisturbanceRun& run) {
  std::string out =
      "\nEach device, worst first: heading error in degrees, level, over all headings\n" +
      header("device", "state");
  for (const DeviceEffect& device : run.devices) {
    bool first = true;
    for (const StateEffect& state : device.states) {
      out += state_row(device, state, first);
      first = false;
    }
  }
  return out;
}

std::string combination_table(const DisturbanceRun& run) {
  if (run.combinations.empty()) return "";
  std::string out = "\nTogether: the sum as vectors, degrees\n" + header("phase", "");
  for (const CombinationEffect& c : run.combinations) out += combination_rows(c);
  return out;
}

}  // namespace qn::disturbance_text_parts
