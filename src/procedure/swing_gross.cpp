// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <numbers>
#include <optional>

#include "estimation/normal_equations.h"
#include "procedure/swing_gross_internal.h"
#include "vocab/heading.h"

namespace qn {
namespace {

// The chance of a wrong reading before anything is seen: one in thirty, as people are tired by
// then.
constexpr double kWrongReading = 0.03;
// How far readings stray that are wrong in no pattern, 1 sigma; or anywhere at all.
constexpr double kStray_deg = 15.0;
// Rows that the others foretell no better than this share of their own weight cannot be judged.
constexpr double kForetold = 0.02;
constexpr std::size_t kWidth = 3;    // opinions looked at further, at each depth
constexpr std::size_t kDeepest = 3;  // wrong readings at once

double log_student(double x, double scale, double dof) {
  return std::lgamma(0.5 * (dof + 1.0)) - std::lgamma(0.5 * dof) -
         0.5 * std::log(dof * std::numbers::pi) - std::log(scale) -
         0.5 * (dof + 1.0) * std::log1p(x * x / (scale * scale * dof));
}

struct Opinion {
  GrossSet set;
  double log_odds = 0.0;
};

struct Suspicion {
  std::size_t row = 0;
  std::string cause;
  double log_odds = 0.0;
};

class GrossSearch {
 public:
  GrossSearch(const std::vector<SwingRow>& rows, DeviationForm form, const SwingPrior& prior,
              const SwingParameters& theta)
      : prior_{prior} {
    for (const SwingRow& row : rows) views_.push_back(view_row(row, form, theta, prior));
    for (std::size_t i = 0; i < rows.size(); ++i) {
      const double expected_deg = rows[i].indicated_deg - views_[i].left_deg;
      causes_.push_back(causes_of(rows[i], expected_deg, neighbours(rows, i, expected_deg)));
    }
    for (SwingRowView& view : views_) {  // to unit variance, rounding counted as noise
      const double sigma = std::sqrt(view.sigma_deg * view.sigma_deg +
                                     prior.rounding_deg * prior.rounding_deg / 12.0);
      view.sigma_deg = sigma;
    }
  }

  std::vector<Opinion> all() const {
    std::vector<Opinion> out{Opinion{}};
    std::vector<Opinion> front{Opinion{}};
    for (std::size_t depth = 1; depth <= std::min(kDeepest, views_.size() / 4); ++depth) {
      std::vector<Opinion> next;
      for (const Opinion& opinion : front) extend(opinion, next);
      if (next.empty()) break;
      std::sort(next.begin(), next.end(),
                [](const Opinion& a, const Opinion& b) { return a.log_odds > b.log_odds; });
      out.insert(out.end(), next.begin(), next.end());
      next.resize(std::min(next.size(), kWidth));
      front = std::move(next);
    }
    return out;
  }

 private:
  // What is expected on the marks on both sides, by the curve's own slope to the next one.
  std::vector<double> neighbours(const std::vector<SwingRow>& rows, std::size_t i,
                                 double expected_deg) const {
    double after = 360.0;
    double before = -360.0;
    std::optional<std::size_t> next;
    std::optional<std::size_t> last;
    for (std::size_t k = 0; k < rows.size(); ++k) {
      const double gap = wrap_180_deg(rows[k].station_deg - rows[i].station_deg);
      if (gap > 1.0 && gap < after) {
        after = gap;
        next = k;
      }
      if (gap < -1.0 && gap > before) {
        before = gap;
        last = k;
      }
    }
    std::vector<double> out;
    for (const auto& k : {next, last}) {
      if (!k) continue;
      const double there = rows[*k].indicated_deg - views_[*k].left_deg;
      if (std::fabs(wrap_180_deg(there - expected_deg)) > 1.0) out.push_back(there);
    }
    return out;
  }

  bool holds(const Opinion& opinion, std::size_t row) const {
    return std::find(opinion.set.rows.begin(), opinion.set.rows.end(), row) !=
           opinion.set.rows.end();
  }

  void extend(const Opinion& opinion, std::vector<Opinion>& out) const {
    NormalEquations equations{kSwingParameters};
    std::size_t used = 0;
    for (std::size_t i = 0; i < views_.size(); ++i) {
      if (holds(opinion, i)) continue;
      ++used;
      const SwingRowView& v = views_[i];
      equations.add_row({v.gradient.begin(), v.gradient.end()}, -v.left_deg, v.sigma_deg);
    }
    for (std::size_t j = 0; j < kSwingParameters; ++j) {
      equations.information(j, j) += 1.0 / (prior_.sd[j] * prior_.sd[j]);
    }
    const SquareMatrix covariance = inverse(equations.information);
    if (covariance.size == 0) return;
    const auto step = solve_step(equations, 0.0);
    const Totals totals = totals_of(opinion, covariance, step, used);
    for (std::size_t i = 0; i < views_.size(); ++i) {
      if (holds(opinion, i)) continue;
      const auto suspicion = judge_row(i, covariance, step, totals);
      // An opinion is reached in one order only: the later row is the less suspicious one, and
      // sets found twice would count twice.
      if (!suspicion || (!opinion.set.rows.empty() && twice(opinion, i, out))) continue;
      Opinion longer = opinion;
      longer.set.rows.push_back(i);
      longer.set.causes.push_back(suspicion->cause);
      longer.log_odds += suspicion->log_odds;
      out.push_back(std::move(longer));
    }
  }

  static bool twice(const Opinion& opinion, std::size_t row, const std::vector<Opinion>& out) {
    std::vector<std::size_t> rows = opinion.set.rows;
    rows.push_back(row);
    std::sort(rows.begin(), rows.end());
    return std::any_of(out.begin(), out.end(), [&](const Opinion& other) {
      std::vector<std::size_t> theirs = other.set.rows;
      std::sort(theirs.begin(), theirs.end());
      return theirs == rows;
    });
  }

  struct Totals {
    double squares = 0.0;
    double dof = 0.0;
  };
  Totals totals_of(const Opinion& opinion, const SquareMatrix& covariance,
                   const std::vector<double>& step, std::size_t used) const {
    Totals out;
    double parameters = 0.0;
    for (std::size_t i = 0; i < views_.size(); ++i) {
      if (holds(opinion, i)) continue;
      const double left = left_after(i, step) / views_[i].sigma_deg;
      out.squares += left * left;
      parameters += leverage(i, covariance);
    }
    out.dof = static_cast<double>(used) - parameters;
    return out;
  }

  double left_after(std::size_t i, const std::vector<double>& step) const {
    double left = views_[i].left_deg;
    for (std::size_t j = 0; j < kSwingParameters; ++j) left -= views_[i].gradient[j] * step[j];
    return left;
  }

  double leverage(std::size_t i, const SquareMatrix& covariance) const {
    const SwingRowView& v = views_[i];
    double sum = 0.0;
    for (std::size_t a = 0; a < kSwingParameters; ++a) {
      for (std::size_t b = 0; b < kSwingParameters; ++b) {
        sum += v.gradient[a] * covariance(a, b) * v.gradient[b];
      }
    }
    return std::min(sum / (v.sigma_deg * v.sigma_deg), 1.0);
  }

  // The row against what all others foretell for it: good, or wrong in one of the known ways.
  std::optional<Suspicion> judge_row(std::size_t i, const SquareMatrix& covariance,
                                     const std::vector<double>& step, const Totals& totals) const {
    const double alone = 1.0 - leverage(i, covariance);
    if (alone < kForetold) return std::nullopt;
    const double left = left_after(i, step);
    const double unit = left / views_[i].sigma_deg;
    const double dof = prior_.noise_dof + std::max(totals.dof - 1.0, 0.0);
    const double squares = std::max(totals.squares - unit * unit / alone, 0.0);
    const double variance = (prior_.noise_dof + squares) / dof / alone;
    const double scale = views_[i].sigma_deg * std::sqrt(variance);
    const double miss = left / alone;  // from what the others foretell
    double pattern_free = 1.0;
    double wrong = 0.0;
    double most = 0.0;
    Suspicion out{i, "no pattern", 0.0};
    for (const GrossCause& cause : causes_[i]) {
      pattern_free -= cause.share;
      const double here =
          cause.share * std::exp(log_student(wrap_180_deg(miss + cause.shift_deg), scale, dof));
      wrong += here;
      if (here > most) {
        most = here;
        out.cause = cause.name;
      }
    }
    const double stray = std::hypot(kStray_deg, scale);
    const double far = wrap_180_deg(miss) / stray;
    const double anywhere =
        pattern_free * (0.5 / 360.0 + 0.5 * std::exp(-0.5 * far * far) /
                                          (stray * std::sqrt(2.0 * std::numbers::pi)));
    if (anywhere > most) out.cause = "no pattern";
    out.log_odds = std::log(kWrongReading / (1.0 - kWrongReading)) + std::log(wrong + anywhere) -
                   log_student(wrap_180_deg(miss), scale, dof);
    return out;
  }

  const SwingPrior& prior_;
  std::vector<SwingRowView> views_;
  std::vector<std::vector<GrossCause>> causes_;
};

}  // namespace

std::vector<GrossSet> weigh_gross(const std::vector<SwingRow>& rows, DeviationForm form,
                                  const SwingPrior& prior, const SwingParameters& theta) {
  const GrossSearch search{rows, form, prior, theta};
  std::vector<Opinion> opinions = search.all();
  std::sort(opinions.begin(), opinions.end(),
            [](const Opinion& a, const Opinion& b) { return a.log_odds > b.log_odds; });
  double total = 0.0;
  for (Opinion& opinion : opinions) {
    opinion.set.probability = std::exp(opinion.log_odds - opinions.front().log_odds);
    total += opinion.set.probability;
  }
  std::vector<GrossSet> out;
  for (Opinion& opinion : opinions) {
    opinion.set.probability /= total;
    if (opinion.set.probability > 1e-4) out.push_back(std::move(opinion.set));
  }
  return out;
}

}  // namespace qn
