// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "procedure/strongest_sum_internal.h"
#include "vocab/expects.h"

namespace qn {
namespace {

constexpr std::size_t kStarts = 8;

double along(const PlaneField& v, double x, double y) { return v.x * x + v.y * y; }

std::size_t choice_along(const PlaneDevice& device, double x, double y) {
  std::size_t best = device.may_be_off ? StrongestSum::kOff : 0;
  double reach = device.may_be_off ? 0.0 : along(device.states[0], x, y);
  for (std::size_t s = 0; s < device.states.size(); ++s) {
    const double here = along(device.states[s], x, y);
    if (here > reach) {
      reach = here;
      best = s;
    }
  }
  return best;
}

PlaneField chosen(const PlaneDevice& device, std::size_t state) {
  return state == StrongestSum::kOff ? PlaneField{} : device.states[state];
}

struct Turn {
  double angle;
  std::size_t device;
};

// Directions at which a device may change its choice.
std::vector<Turn> turns_of(const std::vector<PlaneDevice>& devices) {
  std::vector<Turn> turns;
  for (std::size_t d = 0; d < devices.size(); ++d) {
    std::vector<PlaneField> states = devices[d].states;
    if (devices[d].may_be_off) states.push_back({});
    for (std::size_t i = 0; i < states.size(); ++i) {
      for (std::size_t j = 0; j < i; ++j) {
        const double x = states[i].x - states[j].x;
        const double y = states[i].y - states[j].y;
        if (x == 0.0 && y == 0.0) continue;
        const double normal = std::atan2(x, -y);
        turns.push_back({normal, d});
        turns.push_back({normal > 0.0 ? normal - std::numbers::pi : normal + std::numbers::pi, d});
      }
    }
  }
  std::sort(turns.begin(), turns.end(), [](const Turn& a, const Turn& b) {
    return a.angle != b.angle ? a.angle < b.angle : a.device < b.device;
  });
  return turns;
}

PlaneField sum_of(const std::vector<PlaneDevice>& devices, const std::vector<std::size_t>& state) {
  PlaneField sum;
  for (std::size_t d = 0; d < devices.size(); ++d) {
    const PlaneField v = chosen(devices[d], state[d]);
    sum.x += v.x;
    sum.y += v.y;
  }
  return sum;
}

}  // namespace

StrongestSum strongest_sum(const std::vector<PlaneDevice>& devices) {
  const std::vector<Turn> turns = turns_of(devices);
  const std::size_t arcs = turns.size();
  const auto middle = [&](std::size_t k) {  // of the arc that follows turn k
    const double next = k + 1 < arcs ? turns[k + 1].angle : turns[0].angle + 2.0 * std::numbers::pi;
    return 0.5 * (turns[k].angle + next);
  };
  StrongestSum best;
  best.state.resize(devices.size());
  const double start = arcs > 0 ? middle(arcs - 1) : 0.0;
  for (std::size_t d = 0; d < devices.size(); ++d) {
    QN_EXPECTS(!devices[d].states.empty());
    best.state[d] = choice_along(devices[d], std::cos(start), std::sin(start));
  }
  std::vector<std::size_t> state = best.state;
  PlaneField sum = sum_of(devices, state);
  best.length = std::hypot(sum.x, sum.y);
  for (std::size_t k = 0; k < arcs; ++k) {
    const std::size_t d = turns[k].device;
    const double t = middle(k);
    const std::size_t now = choice_along(devices[d], std::cos(t), std::sin(t));
    if (now == state[d]) continue;
    const PlaneField before = chosen(devices[d], state[d]);
    const PlaneField after = chosen(devices[d], now);
    sum.x += after.x - before.x;
    sum.y += after.y - before.y;
    state[d] = now;
    const double length = std::hypot(sum.x, sum.y);
    // A device that adds nothing along the ground stays as it is.
    if (length > best.length * (1.0 + 1e-12)) {
      best.length = length;
      best.state = state;
    }
  }
  sum = sum_of(devices, best.state);  // without the rounding of many small steps
  best.length = std::hypot(sum.x, sum.y);
  return best;
}

StrongestSumNear::StrongestSumNear(const std::vector<PlaneDevice>& devices) {
  std::size_t begin = 0;
  for (const PlaneDevice& device : devices) {
    spans_.push_back({begin, begin + device.states.size(), device.may_be_off});
    begin += device.states.size();
  }
}

double StrongestSumNear::norm(const PlaneField& v) { return std::sqrt(v.x * v.x + v.y * v.y); }

template <class Chosen>
void StrongestSumNear::choose_along(const PlaneField& t, const std::vector<double>& states,
                                    Chosen chosen) const {
  for (const Span& span : spans_) {
    std::size_t best = span.may_be_off ? span.end : span.begin;
    double reach = span.may_be_off ? 0.0 : states[2 * best] * t.x + states[2 * best + 1] * t.y;
    for (std::size_t s = span.begin; s < span.end; ++s) {
      const double here = states[2 * s] * t.x + states[2 * s + 1] * t.y;
      if (here > reach) {
        reach = here;
        best = s;
      }
    }
    if (best < span.end) chosen(best);
  }
}

PlaneField StrongestSumNear::sum_along(const PlaneField& t,
                                       const std::vector<double>& states) const {
  PlaneField out;
  choose_along(t, states, [&](std::size_t s) {
    out.x += states[2 * s];
    out.y += states[2 * s + 1];
  });
  return out;
}

PlaneField StrongestSumNear::sum(const std::vector<double>& states) const {
  static const std::array<PlaneField, kStarts> kDirections = [] {
    std::array<PlaneField, kStarts> out;
    for (std::size_t k = 0; k < kStarts; ++k) {
      const double t = 2.0 * std::numbers::pi * static_cast<double>(k) / kStarts;
      out[k] = {std::cos(t), std::sin(t)};
    }
    return out;
  }();
  PlaneField best;
  double longest = 0.0;  // squared, as only comparing matters
  for (const PlaneField& t : kDirections) {
    const PlaneField here = sum_along(t, states);
    const double square = here.x * here.x + here.y * here.y;
    if (square > longest) {
      longest = square;
      best = here;
    }
  }
  for (int step = 0; step < 8 && longest > 0.0; ++step) {
    const PlaneField next = sum_along(best, states);
    const double square = next.x * next.x + next.y * next.y;
    if (square <= longest * (1.0 + 1e-12)) break;
    best = next;
    longest = square;
  }
  return best;
}

std::vector<double> StrongestSumNear::slope(const std::vector<double>& states) const {
  std::vector<double> out(states.size(), 0.0);
  const PlaneField longest = sum(states);
  const double length = norm(longest);
  if (!(length > 0.0)) return out;
  choose_along(longest, states, [&](std::size_t s) {
    out[2 * s] = longest.x / length;
    out[2 * s + 1] = longest.y / length;
  });
  return out;
}

}  // namespace qn
