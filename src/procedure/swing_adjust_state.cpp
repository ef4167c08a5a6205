// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>
#include <tuple>

#include "estimation/gaussian_draws.h"
#include "procedure/swing_adjust_internal.h"
#include "procedure/swing_interval_internal.h"
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

struct Solved {
  std::vector<double> theta;
  SquareMatrix covariance;
  double chi2 = 0.0;
};

Solved solved_with(const AdjustHistory& history, const SwingSettings& settings,
                   const std::array<double, 6>& before_deg) {
  const Layout at{history.turned.size(), history.visits};
  const double scatter =
      std::hypot(settings.prior.reading_sigma_deg, settings.prior.rounding_deg / std::sqrt(12.0));
  NormalEquations equations{at.size()};
  std::vector<double> observed;
  for (const AdjustRow& row : history.rows) {
    observed.push_back(wrap_180_deg(row.station_deg - row.indicated_deg));
    equations.add_row(derivatives_of(row, history.turned, at), -observed.back(), scatter);
  }
  for (std::size_t i = 0; i < at.size(); ++i) {
    const double sd = i < 6              ? before_deg[i]
                      : i < 6 + at.turns ? kNoOpinion_deg
                                         : settings.prior.station_sigma_deg;
    equations.information(i, i) += 1.0 / (sd * sd);
  }
  Solved out{solve_step(equations, 0.0), inverse(equations.information)};
  for (std::size_t k = 0; k < history.rows.size(); ++k) {
    const auto ways = derivatives_of(history.rows[k], history.turned, at);
    double left = observed[k];
    for (std::size_t i = 0; i < at.size(); ++i) left -= ways[i] * out.theta[i];
    out.chi2 += left * left / (scatter * scatter);
  }
  for (std::size_t v = 0; v < at.visits; ++v) {
    out.chi2 += std::pow(out.theta[at.placing(v)] / settings.prior.station_sigma_deg, 2);
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
  Solved solved = solved_with(history, settings, before);
  AdjustState out;
  double parameters = history.both_turns ? 1.0 : 0.0;
  bool all = true;
  for (std::size_t j = 0; j < 5; ++j) {
    out.told[j] = std::sqrt(solved.covariance(j, j)) < kTold * kUsual_deg[j];
    if (out.told[j]) parameters += 1.0;
    all = all && out.told[j];
  }
  if (all) {  // no opinion is needed where the readings tell everything
    std::fill(before.begin(), before.begin() + 5, kNoOpinion_deg);
    solved = solved_with(history, settings, before);
  }
  const double spare =
      std::max(0.0, static_cast<double>(history.rows.size() - history.turned.size()) - parameters);
  const double dof = settings.prior.noise_dof + spare;
  const double scale2 = (settings.prior.noise_dof + (spare > 0.0 ? solved.chi2 : 0.0)) / dof;
  out.t_95 = student_95(dof);

  // As it is now: what it was, and every turn on top.
  const Layout at{history.turned.size(), history.visits};
  std::vector<double> to_now(5 * at.size(), 0.0);
  for (std::size_t j = 0; j < 5; ++j) to_now[j * at.size() + j] = 1.0;
  for (std::size_t k = 0; k < at.turns; ++k) {
    to_now[coefficient_of(history.turned[k]) * at.size() + 6 + k] = 1.0;
  }
  for (std::size_t j = 0; j < 5; ++j) {
    for (std::size_t i = 0; i < at.size(); ++i) {
      out.now_deg[j] += to_now[j * at.size() + i] * solved.theta[i];
    }
  }
  out.covariance = propagate(to_now, 5, solved.covariance);
  for (double& v : out.covariance.values) v *= scale2;
  out.covariance(0, 0) += settings.north_sigma_deg * settings.north_sigma_deg;
  for (std::size_t j = 0; j < 5; ++j) out.sigma_deg[j] = std::sqrt(out.covariance(j, j));
  for (std::size_t v = 0; v < at.visits; ++v) {
    out.placing_deg.push_back(solved.theta[at.placing(v)]);
  }
  return out;
}

std::vector<double> AdjustState::draws() const {
  SquareMatrix wide = covariance;
  const double more = t_95 / student_95(1e9);
  for (double& v : wide.values) v *= more * more;
  std::vector<double> out = gaussian_draws(wide, kDraws, kSeed);
  for (std::size_t i = 0; i < out.size(); ++i) out[i] += now_deg[i % 5];
  return out;
}

}  // namespace qn
