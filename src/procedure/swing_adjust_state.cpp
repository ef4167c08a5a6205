// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>
#include <tuple>

#include "estimation/gaussian_draws.h"
#include "procedure/swing_adjust_internal.h"
#include "procedure/swing_mixture_internal.h"
#include "vocab/heading.h"

namespace qn {
namespace {

// What compasses usually have, A to E, as in the swing itself, and half the difference of the
// turns when both were made.
constexpr std::array<double, 6> kUsual_deg = {20.0, 30.0, 30.0, 3.0, 3.0, 10.0};
constexpr double kNoOpinion_deg = 1e4;
// Below this share of what was believed before, the readings have told.
constexpr double kTold = 0.3;
constexpr std::size_t kDraws = 800;
// Sizes of the noise, as multiples of what the settings say; those this much less likely than the
// best (as a logarithm) are left out.
constexpr double kFirstSize = 0.2, kSizeStep = 1.4;
constexpr int kSizes = 11;
constexpr double kUnlikely = 9.0;
constexpr unsigned kSeed = 20260602;

/// Where each parameter stands: A..E and half the turns' difference, turns, placings.
struct Layout {
  std::size_t turns = 0, visits = 0;
  std::size_t placing(std::size_t visit) const { return 6 + turns + visit; }
  std::size_t size() const { return 6 + turns + visits; }
};

std::vector<double> derivatives_of(const AdjustRow& row, const std::vector<char>& turned,
                                   const Layout& at) {
  std::vector<double> out(at.size(), 0.0);
  const DeviationCurve any{DeviationForm::series, {}};
  const SwingCoefficients ways = any.at(row.indicated_deg).per_coefficient;
  std::copy(ways.begin(), ways.end(), out.begin());
  out[5] = row.turn;
  for (std::size_t k = 0; k < row.turns; ++k) out[6 + k] = ways[coefficient_of(turned[k])];
  out[at.placing(row.visit)] = -1.0;
  return out;
}

/// One size of the noise: parameters, their law, and how likely readings are with it.
struct Solved {
  std::vector<double> theta;
  SquareMatrix covariance;
  double log_weight = 0.0;
};

double sigma_before(std::size_t i, const Layout& at, const std::array<double, 6>& before_deg,
                    double placing_deg) {
  return i < 6 ? before_deg[i] : i < 6 + at.turns ? kNoOpinion_deg : placing_deg;
}

/// What is believed of coefficients does not grow with the noise; reading and placing do.
Solved solved_with(const AdjustHistory& history, const SwingSettings& settings,
                   const std::array<double, 6>& before_deg, double scale) {
  const Layout at{history.turned.size(), history.visits};
  const double scatter = std::hypot(scale * settings.prior.reading_sigma_deg,
                                    settings.prior.rounding_deg / std::sqrt(12.0));
  const double placing = scale * settings.prior.station_sigma_deg;
  NormalEquations equations{at.size()};
  std::vector<std::vector<double>> ways;
  std::vector<double> observed;
  for (const AdjustRow& row : history.rows) {
    observed.push_back(wrap_180_deg(row.station_deg - row.indicated_deg));
    ways.push_back(derivatives_of(row, history.turned, at));
    equations.add_row(ways.back(), -observed.back(), scatter);
  }
  for (std::size_t i = 0; i < at.size(); ++i) {
    const double sd = sigma_before(i, at, before_deg, placing);
    equations.information(i, i) += 1.0 / (sd * sd);
  }
  Solved out{solve_step(equations, 0.0), inverse(equations.information)};
  // The likelihood of the readings, all parameters integrated out, times the prior of the size.
  out.log_weight = log_scale_prior(scale, settings.prior) -
                   0.5 * log_determinant(equations.information) -
                   static_cast<double>(history.rows.size()) * std::log(scatter) -
                   static_cast<double>(at.visits) * std::log(placing);
  for (std::size_t k = 0; k < history.rows.size(); ++k) {
    double left = observed[k];
    for (std::size_t i = 0; i < at.size(); ++i) left -= ways[k][i] * out.theta[i];
    out.log_weight -= 0.5 * left * left / (scatter * scatter);
  }
  for (std::size_t i = 0; i < at.size(); ++i) {
    out.log_weight -= 0.5 * std::pow(out.theta[i] / sigma_before(i, at, before_deg, placing), 2);
  }
  return out;
}

/// For each size of the noise; weights that add up to 1.
std::vector<Solved> solved_for_sizes(const AdjustHistory& history, const SwingSettings& settings,
                                     const std::array<double, 6>& before_deg) {
  std::vector<Solved> out;
  double best = -1e300;
  for (int k = 0; k < kSizes; ++k) {
    out.push_back(solved_with(history, settings, before_deg, kFirstSize * std::pow(kSizeStep, k)));
    best = std::max(best, out.back().log_weight);
  }
  std::erase_if(out, [&](const Solved& s) { return !(s.log_weight > best - kUnlikely); });
  double total = 0.0;
  for (const Solved& s : out) total += std::exp(s.log_weight - best);
  for (Solved& s : out) s.log_weight = std::exp(s.log_weight - best) / total;
  return out;
}

/// From the parameters to the curve as it is now: what it was, and every turn on top.
std::vector<double> map_to_now(const AdjustHistory& history, const Layout& at) {
  std::vector<double> out(5 * at.size(), 0.0);
  for (std::size_t j = 0; j < 5; ++j) out[j * at.size() + j] = 1.0;
  for (std::size_t k = 0; k < at.turns; ++k) {
    out[coefficient_of(history.turned[k]) * at.size() + 6 + k] = 1.0;
  }
  return out;
}

}  // namespace

double leverage_of(char adjuster, double heading_deg) {
  const double z = heading_deg * std::numbers::pi / 180.0;
  return adjuster == 'B' ? std::sin(z) : adjuster == 'C' ? std::cos(z) : 1.0;
}

void AdjustHistory::add_turn(char adjuster, double station_deg, double set_deg, std::size_t visit) {
  double turn = 1.0;
  for (const AdjustRow& row : rows) {
    if (row.visit == visit) turn = row.turn;
  }
  turned.push_back(adjuster);
  visits = std::max(visits, visit + 1);
  rows.push_back({station_deg, set_deg, turn, visit, turned.size()});
}

AdjustHistory history_of(const std::vector<SwingReading>& readings) {
  AdjustHistory out;
  std::map<std::tuple<double, int, SwingTurn>, std::size_t> visits;
  bool turns[2] = {false, false};
  for (const SwingReading& r : readings) {
    const auto visit =
        visits.emplace(std::tuple{r.station_deg, r.repeat, r.turn}, visits.size()).first->second;
    const double turn = r.turn == SwingTurn::counterclockwise ? -1.0 : 1.0;
    if (r.turn != SwingTurn::unknown) turns[turn > 0.0 ? 0 : 1] = true;
    out.visits = visits.size();
    out.rows.push_back({r.station_deg, r.indicated_deg, turn, visit, out.turned.size()});
    if (!std::isfinite(r.set_deg)) continue;
    char adjuster = r.adjuster;
    if (adjuster == 0) {
      const bool east_west =
          std::fabs(leverage_of('B', r.station_deg)) > std::fabs(leverage_of('C', r.station_deg));
      adjuster = east_west ? 'B' : 'C';
    }
    out.add_turn(adjuster, r.station_deg, r.set_deg, visit);
  }
  out.both_turns = turns[0] && turns[1];
  if (!out.both_turns) {
    for (AdjustRow& row : out.rows) row.turn = 1.0;
  }
  return out;
}

AdjustState state_of(const AdjustHistory& history, const SwingSettings& settings) {
  std::array<double, 6> before = kUsual_deg;
  if (!history.both_turns) before[5] = 0.5 * settings.hysteresis_sigma_deg;
  const Solved usual = solved_with(history, settings, before, 1.0);
  AdjustState out;
  bool all = true;
  for (std::size_t j = 0; j < 5; ++j) {
    out.told[j] = std::sqrt(usual.covariance(j, j)) < kTold * kUsual_deg[j];
    all = all && out.told[j];
  }
  // No opinion is needed where the readings tell everything.
  if (all) std::fill(before.begin(), before.begin() + 5, kNoOpinion_deg);

  const Layout at{history.turned.size(), history.visits};
  const std::vector<double> to_now = map_to_now(history, at);
  out.covariance = SquareMatrix{5};
  out.placing_deg.assign(at.visits, 0.0);
  for (const Solved& solved : solved_for_sizes(history, settings, before)) {
    AdjustState::Size size{solved.log_weight, {}, propagate(to_now, 5, solved.covariance)};
    size.covariance(0, 0) += settings.north_sigma_deg * settings.north_sigma_deg;
    for (std::size_t j = 0; j < 5; ++j) {
      for (std::size_t i = 0; i < at.size(); ++i) {
        size.now_deg[j] += to_now[j * at.size() + i] * solved.theta[i];
      }
      out.now_deg[j] += size.weight * size.now_deg[j];
    }
    for (std::size_t v = 0; v < at.visits; ++v) {
      out.placing_deg[v] += size.weight * solved.theta[at.placing(v)];
    }
    out.sizes.push_back(std::move(size));
  }
  for (const AdjustState::Size& size : out.sizes) {
    for (std::size_t i = 0; i < 5; ++i) {
      for (std::size_t j = 0; j < 5; ++j) {
        const double apart =
            (size.now_deg[i] - out.now_deg[i]) * (size.now_deg[j] - out.now_deg[j]);
        out.covariance(i, j) += size.weight * (size.covariance(i, j) + apart);
      }
    }
  }
  for (std::size_t j = 0; j < 5; ++j) out.sigma_deg[j] = std::sqrt(out.covariance(j, j));
  return out;
}

std::pair<double, double> AdjustState::band_95(const SwingCoefficients& way) const {
  NormalMixture law;
  for (const Size& size : sizes) {
    double mean = 0.0, variance = 0.0;
    for (std::size_t i = 0; i < 5; ++i) {
      mean += way[i] * size.now_deg[i];
      for (std::size_t j = 0; j < 5; ++j) variance += way[i] * size.covariance(i, j) * way[j];
    }
    law.weights.push_back(size.weight);
    law.means.push_back(mean);
    law.sigmas.push_back(std::sqrt(variance));
  }
  return law.band_95();
}

std::vector<double> AdjustState::draws() const {
  std::vector<double> out;
  double reached = 0.0;
  for (const Size& size : sizes) {
    // Draws come in opposite pairs.
    const auto before = static_cast<std::size_t>(std::lround(0.5 * kDraws * reached));
    reached += size.weight;
    const auto after = static_cast<std::size_t>(std::lround(0.5 * kDraws * reached));
    if (after == before) continue;
    const auto off = gaussian_draws(size.covariance, 2 * (after - before), kSeed + out.size());
    for (std::size_t i = 0; i < off.size(); ++i) out.push_back(off[i] + size.now_deg[i % 5]);
  }
  return out;
}

}  // namespace qn
