// SPDX-License-Identifier: Apache-2.0
#include "procedure/swing_card.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "estimation/gaussian_draws.h"
#include "procedure/swing_compass_internal.h"
#include "vocab/heading.h"
#include "vocab/letters.h"

namespace qn {
namespace {

constexpr double kReadTo_deg = 1.0;  // a card is not read finer

// turned_deg  what the lubber line was turned by, for every state of the loads: it is taken off
CardSteer steer_for(const SwingCompass& compass, double for_deg, double turned_deg,
                    const CardOptions& options) {
  const DeviationCurve& curve = compass.curve;
  const double with_deg = for_deg + turned_deg;
  const double z = options.rule == CardRule::worksheet
                       ? for_deg
                       : indicated_on(curve, with_deg, with_deg - curve.coefficients_deg[0]);
  const auto value = curve.at(z);
  CardSteer out;
  out.deviation_deg = value.deviation_deg - turned_deg;
  const double steer = for_deg - out.deviation_deg;
  out.steer_deg = wrap_360_deg(steer);
  std::vector<double> missed;
  const double along = std::max(1.0 + value.slope, 0.3);
  for (std::size_t d = 0; d + 5 <= compass.draws_deg.size(); d += 5) {
    double sum = 0.0;
    // Turned by what A was found to be, a lubber line is off by what that was wrong by.
    for (std::size_t j = 0; j < 5; ++j) {
      sum += value.per_coefficient[j] * (compass.draws_deg[d + j] - curve.coefficients_deg[j]);
    }
    missed.push_back(-sum / along);
  }
  out.steer_95_deg = {steer + quantile(missed, 0.025), steer + quantile(missed, 0.975)};
  return out;
}

bool wanted(const SwingCompass& compass, const CardOptions& options) {
  return compass.solved && (!options.compass || compass.name == *options.compass);
}

using CardStates = std::vector<const SwingCompass*>;

std::string state_words(const SwingCompass& state) {
  return state.loads.empty() ? "" : "loads " + state.loads;
}

void remark_loads(CorrectionCard& card, const CardStates& all,
                  const std::vector<LoadsEffect>& effects, const CardOptions& options) {
  const bool on =
      std::any_of(all.begin(), all.end(), [](const SwingCompass* s) { return s->loads == "on"; });
  if (on && !options.loads_are.empty()) {
    card.remarks.push_back("Loads on: " + options.loads_are + ".");
  }
  for (const SwingCompass* state : all) {
    if (!loads_are_off(state->loads) || state->worst_deviation_deg <= kNameLoads_deg) continue;
    card.remarks.push_back(fmt::format("The deviation reaches {:.0f} deg on {:03.0f}.",
                                       state->worst_deviation_deg, state->worst_at_deg));
  }
  for (const LoadsEffect& effect : effects) {
    card.beside.push_back(effect.sentence);
    if (effect.state == VerdictState::within) continue;
    const bool blank =
        effect.loads == "on" && options.loads_are.empty() && effect.state == VerdictState::over;
    card.remarks.push_back(effect.on_card + (blank ? " Those loads: ......................" : ""));
  }
}

void say_verdicts(CorrectionCard& card, const CardStates& all) {
  for (const SwingCompass* state : all) {
    const Verdict& v = state->verdict;
    const std::string title = state_words(*state);
    const std::string limit =
        v.limit ? fmt::format("limit {:g} deg", v.limit->value.in_deg()) : "no limit given";
    card.verdict += fmt::format("{}{}{}", card.verdict.empty() ? "" : ", ",
                                title.empty() ? "" : title + " ", to_word(v.state));
    card.verdicts.push_back(capitalised(fmt::format(
        "{}{}, {}: largest deviation {:.1f} deg on {:03.0f} (95 %: {:.1f} to {:.1f}).",
        title.empty() ? "" : title + ": ", to_word(v.state), limit, state->worst_deviation_deg,
        state->worst_at_deg, state->worst_95_deg.first, state->worst_95_deg.second)));
  }
  const Verdict& first = all.front()->verdict;
  card.verdict = capitalised(
      fmt::format("{} ({}).", card.verdict,
                  first.limit ? fmt::format("limit {:g} deg", first.limit->value.in_deg())
                              : std::string{"no limit given"}));
}

const SwingCompass* in_state(const CardStates& all, const std::string& loads) {
  const auto same = std::find_if(all.begin(), all.end(), [&](const SwingCompass* s) {
    return s->loads == loads || (loads == "off" && s->loads.empty());
  });
  return same == all.end() ? nullptr : *same;
}

/// Off first, then what deviates most.
CardStates columns_of(const CardStates& all, const CardOptions& options) {
  CardStates out;
  for (const std::string& loads : options.columns) {
    if (const SwingCompass* state = in_state(all, loads)) out.push_back(state);
  }
  if (!options.columns.empty()) return out;
  out = all;
  std::stable_sort(out.begin(), out.end(), [](const SwingCompass* a, const SwingCompass* b) {
    if (loads_are_off(a->loads) != loads_are_off(b->loads)) return loads_are_off(a->loads);
    return a->worst_95_deg.second > b->worst_95_deg.second;
  });
  if (out.size() > kMostCardColumns) out.resize(kMostCardColumns);
  return out;
}

/// The columns first, then the states that have none.
CardStates columns_first(const CardStates& columns, const CardStates& all) {
  CardStates out = columns;
  for (const SwingCompass* state : all) {
    if (std::find(out.begin(), out.end(), state) == out.end()) out.push_back(state);
  }
  return out;
}

/// What is left of a compass whose lubber line was turned.
SwingCompass turned_by(double turned_deg, SwingCompass compass) {
  compass.curve.coefficients_deg[0] -= turned_deg;
  for (std::size_t d = 0; d < compass.draws_deg.size(); d += 5) compass.draws_deg[d] -= turned_deg;
  const SwingShape shape = peak_of(compass.curve, compass.draws_deg);
  compass.worst_deviation_deg = shape.worst_deg;
  compass.worst_at_deg = shape.worst_at_deg;
  compass.worst_95_deg = shape.worst_95_deg;
  compass.verdict.state = swing_state(compass);
  return compass;
}

/// Verdict and loads, by the compass as the card finds it.
void judge_card(CorrectionCard& card, const CardStates& all, const SwingSolution& swing,
                double turned_deg, const CardOptions& options) {
  std::vector<LoadsEffect> loads = swing.loads;
  std::erase_if(loads, [&](const LoadsEffect& e) { return e.compass != card.compass; });
  if (!options.a_removed) {
    say_verdicts(card, all);
    remark_loads(card, all, loads, options);
    return;
  }
  std::vector<SwingCompass> left;
  for (const SwingCompass* state : all) left.push_back(turned_by(turned_deg, *state));
  CardStates turned;
  for (const SwingCompass& state : left) turned.push_back(&state);
  judge_loads(loads, left);
  say_verdicts(card, turned);
  remark_loads(card, turned, loads, options);
}

CorrectionCard card_of(const CardStates& states, const CardStates& all, const SwingSolution& swing,
                       const CardOptions& options) {
  CorrectionCard card;
  card.compass = states.front()->name;
  for (const SwingCompass* state : states) {
    card.columns.push_back(state_words(*state));
    card.doubtful = card.doubtful || !state->suspects.empty();
    card.departs = card.departs || swing_departure_deg(*state) > kReadTo_deg;
  }
  const double turned = options.a_removed ? states.front()->curve.coefficients_deg[0] : 0.0;
  for (int f = 0; f < 360; f += options.step_deg) {
    CardRow row{static_cast<double>(f), {}};
    for (const SwingCompass* state : states) {
      row.steer.push_back(steer_for(*state, f, turned, options));
    }
    card.rows.push_back(std::move(row));
  }
  if (options.a_removed) {
    card.remarks.push_back(fmt::format(
        "A = {:+.1f} deg is left out: lubber line or sensor was turned by it (as said).", turned));
  }
  judge_card(card, all, swing, turned, options);
  if (card.doubtful) {
    card.remarks.push_back(
        "One reading behind this card is probably wrong: read its station again before the card is "
        "used.");
  }
  if (card.departs) {
    card.remarks.push_back(
        "The readings behind this card depart from the curve it is made from: see their residuals "
        "before the card is used.");
  }
  for (const SwingCompass* state : states) {
    if (swing_lag_deg(*state) == 0.0) continue;
    card.remarks.push_back(
        fmt::format("The compass lags by {:.0f} deg between the two directions of turn: half of "
                    "that either way.",
                    std::abs(*state->hysteresis_deg)));
    break;
  }
  for (const SwingCompass* state : states) {
    if (std::all_of(state->supported.begin(), state->supported.end(), [](bool s) { return s; })) {
      continue;
    }
    card.remarks.push_back(
        "The headings read do not tell all five coefficients: between them the card is a guess.");
    break;
  }
  return card;
}

}  // namespace

std::optional<Error> check_card_options(const SwingSolution& swing, const CardOptions& options) {
  if (options.step_deg != 15 && options.step_deg != 30 && options.step_deg != 45) {
    return Error{ErrorKind::OutOfRange, fmt::format("steps of {} degrees", options.step_deg),
                 "option --steps", "15, 30 or 45 degrees between the lines of the card",
                 "choose 30: steps of not more than 30 deg fit every placard rule we know"};
  }
  if (!options.compass) return std::nullopt;
  const auto same = [&](const SwingCompass& c) { return c.name == *options.compass; };
  if (std::any_of(swing.compasses.begin(), swing.compasses.end(), same)) return std::nullopt;
  return Error{ErrorKind::OutOfRange, fmt::format("no compass is called '{}'", *options.compass),
               "option --compass", "a compass of the stations file",
               "correct the name, or leave the option out for all of them"};
}

std::vector<CorrectionCard> make_cards(const SwingSolution& swing, const CardOptions& options) {
  std::vector<CardStates> by_name;
  for (const SwingCompass& compass : swing.compasses) {
    if (!wanted(compass, options)) continue;
    const auto same = std::find_if(by_name.begin(), by_name.end(), [&](const auto& states) {
      return states.front()->name == compass.name;
    });
    if (same == by_name.end()) {
      by_name.push_back({&compass});
    } else {
      same->push_back(&compass);
    }
  }
  std::vector<CorrectionCard> out;
  for (const CardStates& all : by_name) {
    const CardStates columns = columns_of(all, options);
    if (columns.empty()) continue;
    out.push_back(card_of(columns, columns_first(columns, all), swing, options));
  }
  return out;
}

}  // namespace qn
