// SPDX-License-Identifier: Apache-2.0
#include "procedure/swing_loads.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <numeric>

#include "procedure/swing_compass_internal.h"
#include "procedure/swing_fit_internal.h"
#include "vocab/letters.h"
#include "vocab/text_parts.h"

namespace qn {
namespace {

constexpr std::size_t kLongestName = 40;

bool is_name(const std::string& name) {
  static const std::vector<std::string> kNotNames = {"yes", "no", "true", "false", "none", "of"};
  if (name.empty() || name.size() > kLongestName) return false;
  if (name.find_first_of(",;=\"") != std::string::npos) return false;
  if (name.find_first_not_of("0123456789.-") == std::string::npos) return false;
  return std::find(kNotNames.begin(), kNotNames.end(), name) == kNotNames.end();
}

Error no_state(const std::string& text) {
  return {ErrorKind::BadInput, fmt::format("'{}' is no state of the loads", text), "the loads",
          "off, on, or the names of what is on: pitot, or strobe+pitot", "correct the word"};
}

/// In an order that has nothing to do with the draws: the same numbers made both lists.
std::vector<std::size_t> shuffled(std::size_t count) {
  std::vector<std::size_t> out(count);
  std::iota(out.begin(), out.end(), std::size_t{0});
  std::uint64_t state = 20261126;
  for (std::size_t i = count; i > 1; --i) {
    state = state * 6364136223846793005U + 1442695040888963407U;
    std::swap(out[i - 1], out[(state >> 33U) % i]);
  }
  return out;
}

/// Draws of the coefficients without the north of the rose, which is the same in both states.
double without_north(const SwingCompass& c, std::size_t draw, std::size_t j, double north_deg) {
  const double north = j == 0 ? north_deg * swing_numbers(draw)[kSwingParameters] : 0.0;
  return c.draws_deg[5 * draw + j] - north;
}

void fill_change(LoadsEffect& out, const SwingCompass& off, const SwingCompass& on,
                 double north_deg) {
  if (off.exact() || on.exact()) return;  // two forms have no coefficients to take from each other
  SwingCoefficients change{};
  for (std::size_t j = 0; j < 5; ++j) {
    change[j] = on.curve.coefficients_deg[j] - off.curve.coefficients_deg[j];
  }
  const std::size_t count = std::min(off.draws_deg.size(), on.draws_deg.size()) / 5;
  const auto order = shuffled(count);
  std::vector<double> draws;
  draws.reserve(5 * count);
  for (std::size_t d = 0; d < count; ++d) {
    for (std::size_t j = 0; j < 5; ++j) {
      draws.push_back(without_north(on, order[d], j, north_deg) -
                      without_north(off, d, j, north_deg));
    }
  }
  const SwingShape shape = peak_of({DeviationForm::series, change}, draws);
  out.change_deg = shape.worst_deg;
  out.change_at_deg = shape.worst_at_deg;
  out.change_95_deg = shape.worst_95_deg;
}

VerdictState against(const SwingCompass& c, double threshold_deg) {
  if (!c.suspects.empty()) return VerdictState::unproven;
  const double departs = swing_departure_deg(c);
  const auto [lo, hi] = c.worst_95_deg;
  if (lo - departs > threshold_deg) return VerdictState::over;
  return hi + departs + swing_lag_deg(c) <= threshold_deg ? VerdictState::within
                                                          : VerdictState::unproven;
}

/// What the compass of an effect showed with its loads on, or off; nothing when it was not read so.
const SwingCompass* state_of(const std::vector<SwingCompass>& all, const LoadsEffect& e, bool on) {
  for (const SwingCompass& c : all) {
    if (!c.solved || c.name != e.compass) continue;
    if (on ? c.loads == e.loads : loads_are_off(c.loads)) return &c;
  }
  return nullptr;
}

std::string title_of(const LoadsEffect& e) {
  return e.loads == "on" ? "Loads on" : fmt::format("Loads {} on", e.loads);
}

std::string sizes(const LoadsEffect& e) {
  return fmt::format("{:.1f} deg on {} (95 %: {:.1f} to {:.1f})", e.worst_deviation_deg,
                     swing_heading_text(e.worst_at_deg), e.worst_95_deg.first,
                     e.worst_95_deg.second);
}

/// Whether one of them alone was read and is over too, so that the others are not needed for it.
bool part_is_over(const LoadsEffect& e, const std::vector<LoadsEffect>& all, std::string& which) {
  const auto names = loads_named(e.loads);
  for (const LoadsEffect& other : all) {
    const auto fewer = loads_named(other.loads);
    if (other.compass != e.compass || fewer.empty() || fewer.size() >= names.size()) continue;
    if (other.state != VerdictState::over) continue;
    if (!std::includes(names.begin(), names.end(), fewer.begin(), fewer.end())) continue;
    which = other.loads;
    return true;
  }
  return false;
}

/// Whether each of them was read alone, so that none of the rest can be it.
bool every_part_was_read(const LoadsEffect& e, const std::vector<LoadsEffect>& all) {
  const auto names = loads_named(e.loads);
  return !names.empty() && std::all_of(names.begin(), names.end(), [&](const std::string& name) {
    return std::any_of(all.begin(), all.end(), [&](const LoadsEffect& other) {
      return other.compass == e.compass && other.loads == name &&
             other.state == VerdictState::within;
    });
  });
}

void say_which(LoadsEffect& e, const std::vector<LoadsEffect>& all) {
  if (!e.takes_it_over || loads_named(e.loads).size() == 1) return;
  std::string which;
  if (part_is_over(e, all, which)) {
    e.sentence += fmt::format(" {} alone does.", which);
  } else if (every_part_was_read(e, all)) {
    e.sentence += " None of them alone does: it is all of them together.";
  } else {
    e.which_unproven = true;
    e.sentence +=
        " Which of them does is unproven: name them in the column loads and read each "
        "alone.";
  }
}

void say_effect(LoadsEffect& e, const SwingCompass* off) {
  const std::string limit = fmt::format("{:g} deg", e.threshold_deg);
  const VerdictState before =
      off == nullptr ? VerdictState::unproven : against(*off, e.threshold_deg);
  e.takes_it_over = e.state == VerdictState::over && before == VerdictState::within;
  if (e.state == VerdictState::within) {
    e.sentence =
        fmt::format("{}: {} stays within {}: {}.", title_of(e), e.compass, limit, sizes(e));
    e.on_card = fmt::format("{}: within {}.", title_of(e), limit);
  } else if (e.state == VerdictState::unproven) {
    e.sentence = fmt::format("{}: whether {} goes over {} is unproven: {}.", title_of(e), e.compass,
                             limit, sizes(e));
    e.on_card = fmt::format("{}: {:.0f} deg on {}, over {} or not is unproven.", title_of(e),
                            e.worst_deviation_deg, swing_heading_text(e.worst_at_deg), limit);
  } else {
    e.on_card = fmt::format("With {} the deviation reaches {:.0f} deg on {}, over {}.",
                            e.loads == "on" ? "loads on" : fmt::format("loads {} on", e.loads),
                            e.worst_deviation_deg, swing_heading_text(e.worst_at_deg), limit);
    e.sentence = fmt::format("{}: {} {} over {}: {}; with loads off {}.", title_of(e), e.compass,
                             e.takes_it_over ? "is taken" : "is", limit, sizes(e),
                             off == nullptr                   ? "it was not read"
                             : before == VerdictState::within ? "it is within"
                             : before == VerdictState::over   ? "it is over already"
                                                              : "that is unproven");
  }
  if (!e.change_deg) return;
  const auto [lo, hi] = e.change_95_deg;
  e.sentence += lo > 0.0
                    ? fmt::format(
                          " They change the deviation by up to {:.1f} deg, on {} (95 "
                          "%: {:.1f} to {:.1f}).",
                          *e.change_deg, swing_heading_text(e.change_at_deg), lo, hi)
                    : fmt::format(" They change the deviation by at most {:.1f} deg (95 %).", hi);
}

}  // namespace

Result<std::string> loads_state(const std::string& text) {
  const std::string small = lower_case(text);
  std::vector<std::string> names;
  for (const std::string_view part : parts_of(small, "+|")) {
    names.emplace_back(trimmed(part));
    if (!is_name(names.back())) return no_state(text);
  }
  const auto whole = [](const std::string& name) { return name == "on" || name == "off"; };
  if (names.size() > 1 && std::any_of(names.begin(), names.end(), whole)) return no_state(text);
  std::sort(names.begin(), names.end());
  names.erase(std::unique(names.begin(), names.end()), names.end());
  return fmt::format("{}", fmt::join(names, "+"));
}

std::vector<std::string> loads_named(const std::string& state) {
  if (loads_are_off(state) || state == "on") return {};
  const auto names = parts_of(state, "+");
  return {names.begin(), names.end()};
}

std::vector<LoadsEffect> loads_effects(const std::vector<SwingCompass>& compasses,
                                       const SwingOptions& options) {
  const double north_deg = settings_of(options).north_sigma_deg;
  std::vector<LoadsEffect> out;
  for (const SwingCompass& on : compasses) {
    if (!on.solved || loads_are_off(on.loads)) continue;
    LoadsEffect e;
    e.compass = on.name;
    e.loads = on.loads;
    if (const SwingCompass* off = state_of(compasses, e, false))
      fill_change(e, *off, on, north_deg);
    out.push_back(std::move(e));
  }
  judge_loads(out, compasses);
  return out;
}

void judge_loads(std::vector<LoadsEffect>& effects, const std::vector<SwingCompass>& compasses) {
  for (LoadsEffect& e : effects) {
    const SwingCompass& on = *state_of(compasses, e, true);
    if (on.verdict.limit) {
      e.threshold_deg = std::min(kNameLoads_deg, on.verdict.limit->value.in_deg());
    }
    e.state = against(on, e.threshold_deg);
    e.worst_deviation_deg = on.worst_deviation_deg;
    e.worst_at_deg = on.worst_at_deg;
    e.worst_95_deg = on.worst_95_deg;
    say_effect(e, state_of(compasses, e, false));
  }
  for (LoadsEffect& e : effects) say_which(e, effects);
}

}  // namespace qn
