// SPDX-License-Identifier: Apache-2.0
#include "procedure/swing_before.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "procedure/swing_compass_internal.h"
#include "vocab/letters.h"

namespace qn {
namespace {

bool same_compass(const SwingCompass& a, const SwingCompass& b) {
  return lower_case(a.name) == lower_case(b.name);
}

const SwingCompass* find_state(const SwingSolution& in, const SwingCompass& like) {
  for (const SwingCompass& c : in.compasses) {
    if (same_compass(c, like) && c.loads == like.loads) return &c;
  }
  // A swing that does not speak of loads is of the aircraft as it was then: of off.
  for (const SwingCompass& c : in.compasses) {
    if (same_compass(c, like) && c.loads.empty() && like.loads == "off") return &c;
    if (same_compass(c, like) && c.loads == "off" && like.loads.empty()) return &c;
  }
  return nullptr;
}

std::string title(const SwingCompass& c) {
  return c.name + (c.loads.empty() ? "" : ", loads " + c.loads);
}

std::string signed_tenth(double deg) {
  return fmt::format("{:+.1f}", std::round(10.0 * deg) / 10.0 + 0.0);
}

/// Coefficients whose change stands out of its band, by size.
std::string changes_of(const SwingChange& c) {
  std::vector<std::size_t> moved;
  for (std::size_t j = 0; j < 5; ++j) {
    if (c.told[j] && std::fabs(c.change_deg[j]) > c.change_half_95_deg[j]) moved.push_back(j);
  }
  std::stable_sort(moved.begin(), moved.end(), [&](std::size_t a, std::size_t b) {
    return std::fabs(c.change_deg[a]) > std::fabs(c.change_deg[b]);
  });
  std::string out;
  for (const std::size_t j : moved) {
    out += fmt::format("{}{} from {} to {}", out.empty() ? "" : ", ", "ABCDE"[j],
                       signed_tenth(c.before_deg[j]), signed_tenth(c.after_deg[j]));
  }
  return out.empty() ? "no coefficient changed by more than its band" : out;
}

SwingChange change_of(const SwingCompass* before, const SwingCompass& after) {
  SwingChange out;
  out.name = after.name;
  out.loads = after.loads;
  out.after = after.verdict.state;
  if (before == nullptr || !before->solved || !after.solved) {
    out.why_not = before == nullptr ? "the earlier swing has no such compass under these loads"
                  : !before->solved
                      ? "the earlier swing could not be solved: " + before->verdict.because
                      : "this swing could not be solved";
    out.sentence = title(after) + ": not compared; " + out.why_not + ".";
    return out;
  }
  out.compared = true;
  out.before = before->verdict.state;
  for (std::size_t j = 0; j < 5; ++j) {
    out.told[j] = before->supported[j] && after.supported[j];
    out.before_deg[j] = before->curve.coefficients_deg[j];
    out.after_deg[j] = after.curve.coefficients_deg[j];
    out.change_deg[j] = out.after_deg[j] - out.before_deg[j];
    const auto half = [j](const SwingCompass& c) {
      return 0.5 * (c.band_95_deg[j].second - c.band_95_deg[j].first);
    };
    out.change_half_95_deg[j] = std::hypot(half(*before), half(after));
  }
  out.worst_before_deg = before->worst_deviation_deg;
  out.worst_before_95_deg = before->worst_95_deg;
  out.worst_after_deg = after.worst_deviation_deg;
  out.worst_after_95_deg = after.worst_95_deg;
  out.sentence = fmt::format(
      "{}: {}; the largest deviation from {:.1f} deg ({:.1f} to {:.1f}) to {:.1f} ({:.1f} to "
      "{:.1f}).",
      title(after), changes_of(out), out.worst_before_deg, out.worst_before_95_deg.first,
      out.worst_before_95_deg.second, out.worst_after_deg, out.worst_after_95_deg.first,
      out.worst_after_95_deg.second);
  return out;
}

/// One sentence for each compass of the later swing, over all states of its loads.
std::vector<std::string> limits_of(const SwingSolution& after) {
  std::vector<std::string> out;
  std::vector<std::string> seen;
  for (const SwingCompass& first : after.compasses) {
    const std::string name = lower_case(first.name);
    if (std::find(seen.begin(), seen.end(), name) != seen.end()) continue;
    seen.push_back(name);
    if (!first.verdict.limit) {
      out.push_back(first.name + ": no limit was given, so nothing is judged.");
      continue;
    }
    std::string not_inside, states;
    for (const SwingCompass& c : after.compasses) {
      if (!same_compass(c, first)) continue;
      const std::string state = c.loads.empty() ? "" : "loads " + c.loads;
      if (!state.empty()) states += (states.empty() ? "" : ", ") + state;
      if (c.verdict.state == VerdictState::within) continue;
      not_inside += fmt::format("{}{}{}", not_inside.empty() ? "" : ", ",
                                state.empty() ? "" : state + " ", to_word(c.verdict.state));
    }
    const double limit = first.verdict.limit->value.in_deg();
    if (not_inside.empty()) {
      out.push_back(fmt::format("{}: inside {:g} deg on every heading{}.", first.name, limit,
                                states.empty() ? "" : " (" + states + ")"));
    } else {
      out.push_back(fmt::format("{}: not proven inside {:g} deg on every heading ({}).", first.name,
                                limit, not_inside));
    }
    if (states == "loads off" || states == "loads on") {
      out.back() +=
          fmt::format(" With loads {} it was not read.", states == "loads off" ? "on" : "off");
    }
  }
  return out;
}

}  // namespace

SwingComparison compare_swings(const SwingSolution& before, const SwingSolution& after) {
  SwingComparison out;
  for (const SwingCompass& c : after.compasses) {
    out.compasses.push_back(change_of(find_state(before, c), c));
  }
  for (const SwingCompass& c : before.compasses) {
    const bool there =
        std::any_of(after.compasses.begin(), after.compasses.end(),
                    [&](const SwingCompass& a) { return find_state(before, a) == &c; });
    if (!there) out.gone.push_back(title(c));
  }
  out.on_every_heading = limits_of(after);
  return out;
}

}  // namespace qn
