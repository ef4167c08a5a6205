// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <span>

#include "estimation/log_sum.h"
#include "procedure/disturbance_moment_internal.h"

namespace qn::disturbance {
namespace {

constexpr double kUnplanned_per_s = 1e-3;  // edges in the trace that no mark explains

// Moments at which the trace shows an edge, each with the moments around it that see the same one.
struct Edge {
  std::size_t at = 0, from = 0, to = 0;  // [from, to)
  double log_evidence = 0.0;             // of all its moments together
};

std::vector<Edge> edges_in(const std::vector<double>& any, double step_s, double apart_s) {
  constexpr double kProminence = 8.0;
  std::vector<Edge> out;
  double low = any[0];  // since the last edge
  for (std::size_t k = 0; k < any.size(); ++k) {
    low = std::min(low, any[k]);
    const bool apart = out.empty() || static_cast<double>(k - out.back().at) * step_s > apart_s;
    if (!out.empty() && any[k] > any[out.back().at] &&
        (!apart || any[out.back().at] < low + kProminence)) {
      out.back().at = k;
      low = any[k];
    } else if (any[k] > low + kProminence && apart) {
      out.push_back({k, 0, 0, 0.0});
      low = any[k];
    }
  }
  for (std::size_t e = 0; e < out.size(); ++e) {
    out[e].from = e == 0 ? 0 : out[e - 1].to;
    out[e].to = any.size();
    if (e + 1 < out.size()) {
      const auto first = any.begin() + static_cast<std::ptrdiff_t>(out[e].at);
      const auto last = any.begin() + static_cast<std::ptrdiff_t>(out[e + 1].at);
      out[e].to = static_cast<std::size_t>(std::min_element(first, last) - any.begin());
    }
    out[e].log_evidence = log_sum(std::span{any}.subspan(out[e].from, out[e].to - out[e].from));
  }
  return out;
}

}  // namespace

SwitchTime posterior(double from_s, double step_s, const std::vector<double>& log_weight) {
  SwitchTime out;
  out.from_s = from_s;
  out.step_s = step_s;
  const double top = *std::max_element(log_weight.begin(), log_weight.end());
  double sum = 0.0;
  out.probability.reserve(log_weight.size());
  for (const double w : log_weight) {
    constexpr double kNothing = 60.0;
    out.probability.push_back(top - w < kNothing ? std::exp(w - top) : 0.0);
    sum += out.probability.back();
  }
  out.running.reserve(log_weight.size() + 1);
  out.running.push_back(0.0);
  for (double& p : out.probability) {
    p /= sum;
    out.running.push_back(out.running.back() + p);
  }
  double second = 0.0;
  for (std::size_t k = 0; k < out.probability.size(); ++k) {
    const double t = from_s + step_s * static_cast<double>(k);
    out.mean_s += out.probability[k] * t;
    second += out.probability[k] * t * t;
  }
  // A moment is never read finer than its grid.
  out.sigma_s = std::sqrt(std::max(0.0, second - out.mean_s * out.mean_s) + step_s * step_s / 12.0);
  return out;
}

double evidence_near(const SwitchTime& at, const std::vector<double>& log_prior,
                     const std::vector<double>& log_ratio) {
  constexpr double kNear_s = 0.5;
  const auto half = std::lower_bound(at.running.begin() + 1, at.running.end(), 0.5);
  const auto middle = static_cast<double>(half - at.running.begin()) - 1.0;
  std::vector<double> near;
  for (std::size_t k = 0; k < log_prior.size(); ++k) {
    if (std::abs(static_cast<double>(k) - middle) * at.step_s > kNear_s) continue;
    near.push_back(log_prior[k] + log_ratio[k]);
  }
  return log_sum(near) - log_sum(log_prior);
}

std::vector<double> with_unplanned(const std::vector<double>& log_prior,
                                   const std::vector<double>& own, const std::vector<double>& any,
                                   double unseen, double step_s, double apart_s) {
  const std::vector<Edge> edges = edges_in(any, step_s, apart_s);
  const double rate = std::log(kUnplanned_per_s * step_s);
  double all = 0.0;  // log of the odds of their all being unplanned
  std::vector<double> unplanned;
  for (const Edge& edge : edges) {
    unplanned.push_back(log_sum(0.0, rate + edge.log_evidence));
    all += unplanned.back();
  }
  std::vector<double> out(own.size());
  std::size_t e = 0;
  for (std::size_t k = 0; k < own.size(); ++k) {
    while (e + 1 < edges.size() && k >= edges[e].to) ++e;
    const double others = edges.empty() ? 0.0 : all - unplanned[e];
    out[k] = log_prior[k] + log_sum(own[k] + others, unseen + all);
  }
  return out;
}

}  // namespace qn::disturbance
