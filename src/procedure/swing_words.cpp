// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "procedure/swing_cause_words_internal.h"
#include "procedure/swing_compass_internal.h"
#include "procedure/swing_contradictions_internal.h"
#include "vocab/heading.h"
#include "vocab/letters.h"
#include "vocab/text_parts.h"

namespace qn {
namespace {

constexpr const char* kLetters = "ABCDE";
constexpr double kSurprising = 0.01;  // p below which five coefficients are called too few

std::string stations_of(const std::vector<DoubtfulReading>& readings) {
  std::vector<std::string> names;
  for (const DoubtfulReading& reading : readings) {
    const std::string name = swing_heading_text(reading.station_deg);
    if (std::find(names.begin(), names.end(), name) == names.end()) names.push_back(name);
  }
  std::string out;
  for (std::size_t i = 0; i < names.size() && i < 4; ++i) out += (i == 0 ? "" : ", ") + names[i];
  return out;
}

void describe(DoubtfulReading& reading, bool named) {
  constexpr double kAsForetold_deg = 2.5;
  reading.cause = cause_words(reading);
  const double off = wrap_180_deg(reading.indicated_deg - reading.expected_deg);
  if (!named && std::fabs(off) < kAsForetold_deg) {
    reading.what = fmt::format(
        "Row {}, station {}: {} was read; it fits, but were it the wrong one the others would "
        "agree.",
        reading.row + 1, swing_heading_text(reading.station_deg),
        swing_heading_text(reading.indicated_deg));
    return;
  }
  reading.what =
      fmt::format("Row {}, station {}: {} was read, where the other readings foretell {}; {}{}.",
                  reading.row + 1, swing_heading_text(reading.station_deg),
                  swing_heading_text(reading.indicated_deg),
                  swing_heading_text(std::round(reading.expected_deg)),
                  named ? "likely: " : "perhaps: ", reading.cause);
}

std::string judged(const SwingCompass& compass, const Limit& limit) {
  return fmt::format(
      "the largest deviation is {:.1f} deg (95 %: {:.1f} to {:.1f}) on {}, the limit {:g} deg ({})",
      compass.worst_deviation_deg, compass.worst_95_deg.first, compass.worst_95_deg.second,
      swing_heading_text(compass.worst_at_deg), limit.value.in_deg(), limit.basis);
}

std::string next_step(const SwingCompass& compass, const CompassFit& fit) {
  if (fit.leaning) {
    return "read further headings, between those read so far, until there are eight around the "
           "circle";
  }
  if (!fit.both_turns) {
    return "go round once more in the other direction of turn, and give the turn of each reading";
  }
  (void)compass;
  return "go round once more on other headings, and check the north of the rose: its sigma is in "
         "every band (--north-sigma-deg)";
}

void judge_compass(SwingCompass& compass, const CompassFit& fit, const SwingOptions& options) {
  Verdict& verdict = compass.verdict;
  verdict.limit = swing_limit_for(compass.name, options);
  if (!verdict.limit) {
    verdict.because = fmt::format(
        "the largest deviation is {:.1f} deg (95 %: {:.1f} to {:.1f}) on {}; there is no limit to "
        "judge it by",
        compass.worst_deviation_deg, compass.worst_95_deg.first, compass.worst_95_deg.second,
        swing_heading_text(compass.worst_at_deg));
    verdict.do_next = fmt::format(
        "ask the maker of this compass what it may be off, and say --limit \"{}=DEG\" with "
        "--limit-basis",
        compass.name);
    return;
  }
  verdict.state = judge(
      {Angle::degrees(compass.worst_95_deg.first), Angle::degrees(compass.worst_95_deg.second)},
      *verdict.limit);
  verdict.because = judged(compass, *verdict.limit);
  if (verdict.state == VerdictState::unproven) verdict.do_next = next_step(compass, fit);
  if (verdict.state == VerdictState::over) {
    verdict.do_next = "compensate the compass and swing again";
  }
}

double assumed_scatter(const CompassFit& fit) {
  return std::hypot(fit.prior.sigma(0.0), fit.prior.rounding_deg / std::sqrt(12.0));
}

void remark_contradictions(SwingCompass& compass, const CompassFit& fit) {
  for (const Contradiction& pair :
       contradictions_of(compass, assumed_scatter(fit), fit.prior.noise_dof)) {
    const SwingObserved& a = compass.observed[pair.first];
    const SwingObserved& b = compass.observed[pair.second];
    compass.remarks.push_back(fmt::format(
        "Rows {} and {} contradict each other: station {}, read {} and {}, further apart than the "
        "other readings scatter (p = {:.1g}). Read it once more.",
        compass.rows[pair.first] + 1, compass.rows[pair.second] + 1,
        swing_heading_text(a.station_deg), swing_heading_text(a.indicated_deg),
        swing_heading_text(b.indicated_deg), std::max(pair.p, 1e-4)));
  }
}

void remark_model(SwingCompass& compass, const CompassFit& fit) {
  const std::string missing = unsupported_names(compass);
  if (!missing.empty()) {
    compass.remarks.push_back(
        fmt::format("These headings cannot tell {}. What compasses usually have (1 sigma: B, C 30, "
                    "D, E 3, A 20 "
                    "deg) stands in the bands instead.",
                    missing));
  } else if (fit.leaning) {
    compass.remarks.push_back(
        "Few headings, or on one side: what compasses usually have (1 sigma: B, C 30, D, E 3, A 20 "
        "deg) is used beside the readings.");
  }
  if (!fit.both_turns) {
    compass.remarks.push_back(
        "One direction of turn, or none said: a lag of the compass cannot be told from A and "
        "stands "
        "in A's band.");
  }
  if (compass.exact()) {
    compass.remarks.push_back(
        "Deviation beyond 20 deg: the exact equation is used, and A to E are its coefficients "
        "times "
        "57.3, not terms of the sine series.");
  }
  if (swing_departs(compass)) {
    compass.remarks.push_back(fmt::format(
        "The readings depart from what five coefficients can follow (p = {:.2g}): a compass that "
        "sticks, steel near one mark, or a sensor with a defect. See the residuals.",
        *compass.lack_of_fit_p));
  }
}

// What a curve's band does not hold may still pass the limit: then the compass is not within.
void doubt_beyond_band(SwingCompass& compass) {
  const double departure = swing_departure_deg(compass);
  const double lag = swing_lag_deg(compass);
  if (lag > 0.0) {
    compass.remarks.push_back(fmt::format(
        "It lags: clockwise less counterclockwise {:+.1f} deg. The curve is the middle of both; on "
        "each heading the compass is off by half of that more, one way or the other.",
        *compass.hysteresis_deg));
  }
  Verdict& verdict = compass.verdict;
  if (verdict.state != VerdictState::within || swing_state(compass) == verdict.state) return;
  if (departure > 0.0) {
    verdict.because +=
        "; the readings depart from the curve, so that it does not say what is between";
    verdict.do_next =
        "look at the residuals: free a compass that sticks, look for steel near the marks that "
        "stand out, and swing again";
  }
  if (lag > 0.0) {
    verdict.because += fmt::format(
        "; the compass lags by up to {:.1f} deg either way between the two directions of turn, "
        "which with the curve may pass the limit",
        lag);
    verdict.do_next =
        "free a compass that sticks (worn pivot, thick fluid), tap it before each reading, and "
        "swing again";
  }
}

}  // namespace

bool swing_departs(const SwingCompass& compass) {
  return compass.lack_of_fit_p && *compass.lack_of_fit_p < kSurprising;
}

double swing_departure_deg(const SwingCompass& compass) {
  if (!swing_departs(compass)) return 0.0;
  double largest = 0.0;
  for (std::size_t i = 0; i < compass.residuals_deg.size() && i < compass.rows.size(); ++i) {
    const bool out =
        std::any_of(compass.gross.begin(), compass.gross.end(),
                    [&](const DoubtfulReading& g) { return g.row == compass.rows[i]; });
    if (!out) largest = std::max(largest, std::fabs(compass.residuals_deg[i]));
  }
  return largest;
}

double swing_lag_deg(const SwingCompass& compass) {
  constexpr double kSpokenOf_deg = 1.0;  // half of it: a card is not read finer
  if (!compass.hysteresis_deg) return 0.0;
  const double lag = std::abs(*compass.hysteresis_deg);
  const double may_be = 1.96 * compass.hysteresis_sigma_deg;
  return lag > may_be && 0.5 * lag > kSpokenOf_deg ? 0.5 * (lag + may_be) : 0.0;
}

VerdictState swing_state(const SwingCompass& compass) {
  const auto& limit = compass.verdict.limit;
  if (!limit || !compass.suspects.empty()) return VerdictState::unproven;
  const auto [lo, hi] = compass.worst_95_deg;
  const VerdictState by_band = judge({Angle::degrees(lo), Angle::degrees(hi)}, *limit);
  const double beyond = swing_departure_deg(compass) + swing_lag_deg(compass);
  const bool may_pass = beyond > 0.0 && hi + beyond >= limit->value.in_deg();
  return by_band == VerdictState::within && may_pass ? VerdictState::unproven : by_band;
}

std::optional<Limit> swing_limit_for(const std::string& compass, const SwingOptions& options) {
  for (const auto& [name, limit] : options.limits) {
    if (lower_case(name) == lower_case(compass)) return limit;
  }
  // The one published limit we know of for this kind of compass.
  const std::string name = lower_case(compass);
  const auto says = [&](const char* word) { return name.find(word) != std::string::npos; };
  if (says("standby") && !says("remote") && !says("sensor") && !says("magnetometer")) {
    return Limit{Angle::degrees(10.0), "14 CFR 23.1327(a)(2), level flight, any heading"};
  }
  return std::nullopt;
}

std::string swing_heading_text(double deg) {
  const double whole = std::round(deg);
  if (std::fabs(deg - whole) < 0.05) return fmt::format("{:03.0f}", wrap_360_deg(whole));
  return fmt::format("{:05.1f}", deg);
}

std::string unsupported_names(const SwingCompass& compass) {
  std::vector<std::string> out;
  for (std::size_t j = 0; j < 5; ++j) {
    if (!compass.supported[j]) out.emplace_back(1, kLetters[j]);
  }
  return and_list(out);
}

void fill_words(SwingCompass& compass, const CompassFit& fit,
                const std::vector<SwingReading>& readings, const SwingOptions& options) {
  judge_compass(compass, fit, options);
  for (auto* list : {&compass.gross, &compass.suspects}) {
    for (DoubtfulReading& reading : *list) {
      refine_cause(reading, compass, assumed_scatter(fit));
      describe(reading, list == &compass.gross);
    }
  }
  if (!compass.suspects.empty() && compass.verdict.limit) {
    compass.verdict.because += "; one reading is probably wrong, and which one is not certain";
    compass.verdict.do_next = fmt::format("read station {} again and add the reading as a repeat",
                                          stations_of(compass.suspects));
  }
  doubt_beyond_band(compass);
  compass.verdict.state = swing_state(compass);
  remark_contradictions(compass, fit);
  remark_model(compass, fit);
  fill_tilt_words(compass, readings);
}

}  // namespace qn
