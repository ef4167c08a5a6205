// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <numbers>
#include <optional>

#include "procedure/swing_gross_internal.h"
#include "procedure/swing_noise_grid_internal.h"
#include "procedure/swing_suspects_internal.h"
#include "vocab/heading.h"

namespace qn {
namespace {

// How far readings stray that are wrong in no pattern, 1 sigma; or anywhere at all.
constexpr double kStray_deg = 15.0;
// Rows that the others foretell no better than this share of their own weight cannot be judged.
constexpr double kForetold = 0.02;
// Within so many sigma a reading is not looked at twice.
constexpr double kOrdinary = 1.5;
constexpr std::size_t kWidth = 3;    // opinions looked at further, at each depth
constexpr std::size_t kDeepest = 3;  // wrong readings at once
constexpr double kUnlikely = 12.0;   // log odds below the best that no one asks for

struct Opinion {
  std::vector<std::size_t> suspects;  ///< in the order found
  std::vector<const char*> causes;
  double log_odds = 0.0;
};

/// P of the joint system with some shifts set free.
struct Projected {
  std::vector<double> projector, left;
  double squares = 0.0, freedom = 0.0;
};

class GrossSearch {
 public:
  GrossSearch(const std::vector<JointRow>& rows, const std::vector<SwingParameters>& sd,
              const SwingPrior& prior)
      : rows_{rows}, grid_{prior} {
    const JointSystem system{rows, sd, prior, {std::vector<double>(sd.size(), 1.0), 1.0}};
    if (!system.good()) return;
    base_ = {system.projector(), system.left(), system.squares(), system.freedom()};
    for (std::size_t i = 0; i < rows.size(); ++i) {
      weights_.push_back(1.0 / (system.reading_variance(i) + std::pow(system.placing(i), 2)));
    }
    suspects_ = gross_suspects(rows);
  }

  std::vector<Opinion> all() const {
    std::vector<Opinion> out{Opinion{}};
    if (suspects_.empty()) return out;
    std::vector<Opinion> front{Opinion{}};
    for (std::size_t depth = 1; depth <= std::min(kDeepest, rows_.size() / 4); ++depth) {
      std::vector<Opinion> next;
      for (const Opinion& opinion : front) extend(opinion, next);
      if (next.empty()) break;
      std::sort(next.begin(), next.end(),
                [](const Opinion& a, const Opinion& b) { return a.log_odds > b.log_odds; });
      out.insert(out.end(), next.begin(), next.end());
      if (next.size() > kWidth) next.resize(kWidth);
      front = std::move(next);
    }
    return out;
  }

  GrossSet set_of(const Opinion& opinion) const {
    std::vector<std::pair<std::size_t, std::string>> rows;
    for (std::size_t k = 0; k < opinion.suspects.size(); ++k) {
      for (const std::size_t row : suspects_[opinion.suspects[k]].rows) {
        rows.emplace_back(row, opinion.causes[k]);
      }
    }
    std::sort(rows.begin(), rows.end());
    GrossSet out;
    for (auto& [row, cause] : rows) {
      out.rows.push_back(row);
      out.causes.push_back(std::move(cause));
    }
    return out;
  }

 private:
  bool touches(const Opinion& opinion, const GrossSuspect& suspect) const {
    return std::any_of(opinion.suspects.begin(), opinion.suspects.end(),
                       [&](std::size_t s) { return suspects_[s].touches(suspect); });
  }

  // An opinion is reached in one order only: sets found twice would count twice.
  static bool twice(const Opinion& opinion, std::size_t suspect, const std::vector<Opinion>& out) {
    return std::any_of(out.begin(), out.end(), [&](const Opinion& other) {
      const auto in = [&](std::size_t s) {
        return std::find(other.suspects.begin(), other.suspects.end(), s) != other.suspects.end();
      };
      return in(suspect) && std::all_of(opinion.suspects.begin(), opinion.suspects.end(), in);
    });
  }

  // P g, for a shift of the suspect.
  std::vector<double> seen(const Projected& at, const GrossSuspect& suspect) const {
    const std::size_t n = rows_.size();
    std::vector<double> out(n, 0.0);
    for (std::size_t k = 0; k < suspect.rows.size(); ++k) {
      const double* column = &at.projector[suspect.rows[k] * n];
      for (std::size_t i = 0; i < n; ++i) out[i] += suspect.ways[k] * column[i];
    }
    return out;
  }

  static double along(const GrossSuspect& suspect, const std::vector<double>& x) {
    double sum = 0.0;
    for (std::size_t k = 0; k < suspect.rows.size(); ++k) {
      sum += suspect.ways[k] * x[suspect.rows[k]];
    }
    return sum;
  }

  Projected without(const Opinion& opinion) const {
    Projected out = base_;
    const std::size_t n = rows_.size();
    for (const std::size_t s : opinion.suspects) {
      const std::vector<double> g = seen(out, suspects_[s]);
      const double weight = along(suspects_[s], g);
      const double shift = along(suspects_[s], out.left) / weight;
      out.squares -= shift * shift * weight;
      out.freedom -= 1.0;
      for (std::size_t i = 0; i < n; ++i) {
        out.left[i] -= shift * g[i];
        const double scaled = g[i] / weight;
        for (std::size_t j = 0; j < n; ++j) out.projector[i * n + j] -= scaled * g[j];
      }
    }
    out.squares = std::max(out.squares, 0.0);
    return out;
  }

  void extend(const Opinion& opinion, std::vector<Opinion>& out) const {
    const Projected at = opinion.suspects.empty() ? base_ : without(opinion);
    NoiseGrid::Weights shares;
    const double good = grid_.weigh(at.squares, at.freedom, shares);
    for (std::size_t s = 0; s < suspects_.size(); ++s) {
      const GrossSuspect& suspect = suspects_[s];
      if (touches(opinion, suspect)) continue;
      if (!opinion.suspects.empty() && twice(opinion, s, out)) continue;
      const char* cause = "";
      const auto log_odds = judge(at, suspect, good, cause);
      if (!log_odds) continue;
      Opinion longer = opinion;
      longer.suspects.push_back(s);
      longer.causes.push_back(cause);
      longer.log_odds += *log_odds;
      out.push_back(std::move(longer));
    }
  }

  // Log odds of "wrong, in one of the known ways" against "good", for every size of the noise and
  // weighed by what all other readings say of it.
  std::optional<double> judge(const Projected& at, const GrossSuspect& suspect, double good,
                              const char*& likeliest) const {
    const std::size_t n = rows_.size();
    double weight = 0.0;
    double own = 0.0;
    for (std::size_t k = 0; k < suspect.rows.size(); ++k) {
      own += suspect.ways[k] * suspect.ways[k] * weights_[suspect.rows[k]];
      for (std::size_t l = 0; l < suspect.rows.size(); ++l) {
        weight +=
            suspect.ways[k] * suspect.ways[l] * at.projector[suspect.rows[k] * n + suspect.rows[l]];
      }
    }
    if (weight < kForetold * own) return std::nullopt;
    const double shift = along(suspect, at.left) / weight;  // read minus what the others foretell
    const double taken = shift * shift * weight;
    // An ordinary reading: what is wrong in no pattern may still hide in it.
    if (taken < kOrdinary * kOrdinary) {
      likeliest = "no pattern";
      return std::log(suspect.odds) + std::log(suspect.free_share()) +
             std::log(std::sqrt(2.0 * std::numbers::pi / weight) * anywhere(shift, 1.0 / weight)) +
             0.5 * taken;
    }
    NoiseGrid::Weights shares;
    const double others = grid_.weigh(std::max(at.squares - taken, 0.0), at.freedom, shares);
    double total = 0.0;
    double most = 0.0;
    const auto add = [&](double part, const char* name) {
      total += part;
      if (part > most) {
        most = part;
        likeliest = name;
      }
    };
    for (const GrossCause& cause : suspect.causes) {
      const double off = wrap_180_deg(shift + cause.shift_deg);
      const double quarter = 0.5 * off * off * weight;
      double part = 0.0;
      for (std::size_t g = 0; g < NoiseGrid::kSizes; ++g) {
        const double exponent = quarter / grid_.variance(g);
        if (exponent < 30.0) part += shares[g] * std::exp(-exponent);
      }
      add(cause.share * part, cause.name);
    }
    double part = 0.0;
    for (std::size_t g = 0; g < NoiseGrid::kSizes; ++g) {
      if (shares[g] < 1e-6) continue;
      const double variance = grid_.variance(g) / weight;
      part += shares[g] * std::sqrt(2.0 * std::numbers::pi * variance) * anywhere(shift, variance);
    }
    add(suspect.free_share() * part, suspect.rows.size() > 1 ? kOtherStation : "no pattern");
    return std::log(suspect.odds) + std::log(total) + others - good;
  }

  // Density of a shift that follows no pattern.
  static double anywhere(double shift, double variance) {
    const double stray2 = kStray_deg * kStray_deg + variance;
    const double far = wrap_180_deg(shift);
    return 0.5 / 360.0 +
           0.5 * std::exp(-0.5 * far * far / stray2) / std::sqrt(2.0 * std::numbers::pi * stray2);
  }

  const std::vector<JointRow>& rows_;
  NoiseGrid grid_;
  Projected base_;
  std::vector<double> weights_;  // of each row alone
  std::vector<GrossSuspect> suspects_;
};

}  // namespace

std::vector<GrossSet> weigh_gross(const std::vector<JointRow>& rows,
                                  const std::vector<SwingParameters>& sd, const SwingPrior& prior) {
  const GrossSearch search{rows, sd, prior};
  std::vector<Opinion> opinions = search.all();
  std::sort(opinions.begin(), opinions.end(),
            [](const Opinion& a, const Opinion& b) { return a.log_odds > b.log_odds; });
  const double best = opinions.front().log_odds;
  double total = 0.0;
  for (const Opinion& opinion : opinions) total += std::exp(opinion.log_odds - best);
  std::vector<GrossSet> out;
  for (const Opinion& opinion : opinions) {
    if (opinion.log_odds < best - kUnlikely) break;
    const double probability = std::exp(opinion.log_odds - best) / total;
    if (probability < 1e-4 && !out.empty()) break;
    out.push_back(search.set_of(opinion));
    out.back().probability = probability;
  }
  return out;
}

}  // namespace qn
