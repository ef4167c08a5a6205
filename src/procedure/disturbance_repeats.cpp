// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <bit>
#include <cmath>
#include <iterator>
#include <limits>

#include "estimation/log_sum.h"
#include "procedure/disturbance_odds_internal.h"
#include "procedure/disturbance_repeats_internal.h"

namespace qn::disturbance {
namespace {

// 1 sigma of an axis of a field about which nothing is known: each as likely as the next. (One
// large one alone would hold small devices to be unlikely, and take two alike for each other.)
constexpr double kScales_uT[] = {0.04, 0.2, 1.0, 5.0};
constexpr double kOdds[4] = {0.92, 0.04, 0.03, 0.01};  // good, skipped, another, unknown
constexpr double kNearlyCertain = 0.99;
constexpr std::size_t kMostVisits = 6;  // beyond, the first ones decide what the others are held to
// A lamp does not draw the same current twice to the last digit: own assumption.
constexpr double kRepeatability = 0.01;

double variance_of(const SeenField& seen, std::size_t axis) {
  const double same = kRepeatability * seen.size_uT[axis];
  return seen.sigma_uT[axis] * seen.sigma_uT[axis] + same * same;
}

double log_normal(double x, double variance) {
  return -0.5 * (x * x / variance + std::log(2.0 * 3.14159265358979 * variance));
}

double log_about(const SeenField& seen, const Vector3& centre, const Vector3& more_variance) {
  double sum = 0.0;
  for (std::size_t axis = 0; axis < 3; ++axis) {
    sum += log_normal(seen.size_uT[axis] - centre[axis],
                      variance_of(seen, axis) + more_variance[axis]);
  }
  return sum;
}

Vector3 squares(const Vector3& v) { return {v[0] * v[0], v[1] * v[1], v[2] * v[2]}; }

// All of these visits show one and the same field, of 1 sigma `scale_uT` an axis.
double log_together(const std::vector<const SeenField*>& seen, double scale_uT) {
  double sum = 0.0;
  for (std::size_t axis = 0; axis < 3; ++axis) {
    // Each in turn given the ones before: the size becomes known as they go by.
    double mean = 0.0;
    double variance = scale_uT * scale_uT;
    for (const SeenField* s : seen) {
      const double v = variance_of(*s, axis);
      sum += log_normal(s->size_uT[axis] - mean, v + variance);
      const double gain = variance / (v + variance);
      mean += gain * (s->size_uT[axis] - mean);
      variance *= 1.0 - gain;
    }
  }
  return sum;
}

// All of these visits show one and the same field, of unknown size or none at all.
double log_together(const std::vector<const SeenField*>& seen) {
  if (seen.empty()) return 0.0;
  double none = std::log(kQuietShare);
  for (const SeenField* s : seen) none += log_about(*s, {}, {});
  double some = -std::numeric_limits<double>::infinity();
  for (const double scale : kScales_uT) some = log_sum(some, log_together(seen, scale));
  some += std::log((1.0 - kQuietShare) / static_cast<double>(std::size(kScales_uT)));
  return log_sum(none, some);
}

struct Alone {
  double log_weight[4];  // of being skipped, another, unknown; [0] is not used
  std::string another;
};

Alone alone(const SeenField& seen, const std::vector<KnownVector>& others) {
  Alone out{};
  out.log_weight[1] = std::log(kOdds[1]) + log_about(seen, {}, {});
  double unknown = -std::numeric_limits<double>::infinity();
  for (const double scale : kScales_uT) {
    const double b = scale * scale;
    unknown = log_sum(unknown, log_about(seen, {}, {b, b, b}));
  }
  out.log_weight[3] = std::log(kOdds[3] / static_cast<double>(std::size(kScales_uT))) + unknown;
  double sum = -std::numeric_limits<double>::infinity();
  double best = sum;
  for (const KnownVector& other : others) {
    const double w = log_about(seen, other.field.size_uT, squares(other.field.sigma_uT));
    sum = log_sum(sum, w);
    if (w > best) {
      best = w;
      out.another = other.name;
    }
  }
  const double count = static_cast<double>(std::max<std::size_t>(others.size(), 1));
  out.log_weight[2] = std::log(kOdds[2] / count) + sum;
  return out;
}

// The field that a set of good visits stands for.
SeenField pooled(const std::vector<SeenField>& visits, unsigned good) {
  SeenField out;
  for (std::size_t axis = 0; axis < 3; ++axis) {
    double weight = 1e-12;
    double sum = 0.0;
    for (std::size_t r = 0; r < visits.size(); ++r) {
      if (!(good >> r & 1U)) continue;
      const double w = 1.0 / variance_of(visits[r], axis);
      weight += w;
      sum += w * visits[r].size_uT[axis];
    }
    out.size_uT[axis] = sum / weight;
    out.sigma_uT[axis] = 1.0 / std::sqrt(weight);
  }
  return out;
}

double distance_squared(const SeenField& a, const SeenField& b) {
  double sum = 0.0;
  for (std::size_t axis = 0; axis < 3; ++axis) {
    const double d = a.size_uT[axis] - b.size_uT[axis];
    sum += d * d / (a.sigma_uT[axis] * a.sigma_uT[axis] + b.sigma_uT[axis] * b.sigma_uT[axis]);
  }
  return sum;
}

bool alike(const SeenField& a, const SeenField& b, double matters_uT) {
  for (std::size_t axis = 0; axis < 3; ++axis) {
    if (std::abs(a.size_uT[axis] - b.size_uT[axis]) > matters_uT) return false;
  }
  return true;
}

std::vector<std::size_t> visits_that_see(const std::vector<SeenField>& visits, double matters_uT) {
  constexpr double kBlind = 20.0;  // times the sigma of the best visit
  std::vector<std::size_t> out;
  for (std::size_t r = 0; r < visits.size(); ++r) {
    bool sees = true;
    for (std::size_t axis = 0; axis < 3; ++axis) {
      double best = visits[r].sigma_uT[axis];
      for (const SeenField& other : visits) best = std::min(best, other.sigma_uT[axis]);
      sees = sees && visits[r].sigma_uT[axis] <= std::max(kBlind * best, matters_uT);
    }
    if (sees) out.push_back(r);
  }
  return out;
}

// The same direction and another size, which no other device shows but by chance: one that heats,
// or draws another current.
bool same_at_another_size(const SeenField& seen, const SeenField& answer) {
  constexpr double kAlong = 11.3;  // chi-square of three axes: chance gives more once in 100
  constexpr double kLeast = 0.5, kMost = 2.0;
  double with = 0.0, square = 0.0;
  const auto weight = [&](std::size_t axis) {
    return 1.0 / (variance_of(seen, axis) + variance_of(answer, axis));
  };
  for (std::size_t axis = 0; axis < 3; ++axis) {
    with += weight(axis) * seen.size_uT[axis] * answer.size_uT[axis];
    square += weight(axis) * answer.size_uT[axis] * answer.size_uT[axis];
  }
  const double times = square > 0.0 ? with / square : 0.0;
  if (times < kLeast || times > kMost) return false;
  double left = 0.0;
  for (std::size_t axis = 0; axis < 3; ++axis) {
    const double d = seen.size_uT[axis] - times * answer.size_uT[axis];
    left += weight(axis) * d * d;
  }
  return left < kAlong;
}

bool shows_nothing(const SeenField& seen) {
  return log_about(seen, {}, {}) > log_about({{}, seen.sigma_uT}, {}, {}) - 8.0;
}

}  // namespace

RepeatsReading read_repeats(const std::vector<SeenField>& every,
                            const std::vector<KnownVector>& others, double matters_uT) {
  // A visit of which next to nothing was seen has no vote, and no fault.
  const std::vector<std::size_t> seeing = visits_that_see(every, matters_uT);
  if (seeing.size() < every.size()) {
    std::vector<SeenField> given;
    for (const std::size_t r : seeing) given.push_back(every[r]);
    const RepeatsReading part = read_repeats(given, others, matters_uT);
    RepeatsReading out{std::vector<VisitReading>(every.size()), part.contested, part.quiet};
    for (std::size_t i = 0; i < seeing.size(); ++i) out.visits[seeing[i]] = part.visits[i];
    // Repeats were made to have one checked by another: with one left, none is. Two that show
    // nothing may both be mistaken, where the third was not seen.
    const bool hardly_quiet = part.quiet && seeing.size() <= 2;
    if (seeing.size() == 1 || hardly_quiet) out.contested = true;
    return out;
  }
  const std::vector<SeenField>& given = every;
  // Differences that do not matter are no ground for an opinion.
  std::vector<SeenField> all = given;
  for (SeenField& seen : all) {
    for (double& sigma : seen.sigma_uT) sigma = std::hypot(sigma, matters_uT / 3.0);
  }
  RepeatsReading out;
  out.visits.resize(all.size());
  const std::vector<SeenField> visits(
      all.begin(), all.begin() + static_cast<std::ptrdiff_t>(std::min(all.size(), kMostVisits)));
  out.quiet = std::all_of(visits.begin(), visits.end(), shows_nothing);
  if (visits.size() < 2 || out.quiet) return out;

  std::vector<Alone> by_itself;
  for (const SeenField& seen : visits) by_itself.push_back(alone(seen, others));
  const unsigned sets = 1U << visits.size();
  std::vector<double> log_weight(sets);
  double total = -std::numeric_limits<double>::infinity();
  for (unsigned good = 0; good < sets; ++good) {
    std::vector<const SeenField*> together;
    double w = 0.0;
    for (std::size_t r = 0; r < visits.size(); ++r) {
      if (good >> r & 1U) {
        together.push_back(&visits[r]);
        w += std::log(kOdds[0]);
      } else {
        const Alone& a = by_itself[r];
        w += log_sum(log_sum(a.log_weight[1], a.log_weight[2]), a.log_weight[3]);
      }
    }
    log_weight[good] = w + log_together(together);
    total = log_sum(total, log_weight[good]);
  }
  const auto best = static_cast<unsigned>(std::max_element(log_weight.begin(), log_weight.end()) -
                                          log_weight.begin());
  const SeenField answer = pooled(visits, best);
  double agreeing = 0.0;  // probability of readings that lead to the same answer
  for (unsigned good = 0; good < sets; ++good) {
    const double p = std::exp(log_weight[good] - total);
    if (good == best) {
      agreeing += p;
    } else if (good != 0) {
      const SeenField other = pooled(visits, good);
      if (distance_squared(answer, other) < 2.0 || alike(answer, other, matters_uT)) agreeing += p;
    }
  }
  out.contested = best == 0 || agreeing < kNearlyCertain;
  // Two that show nothing and one that shows something: the device may as well have been worked
  // only that once. Nothing is no ground to call it quiet.
  double showing = 0.0, silent = 0.0;
  for (std::size_t r = 0; r < visits.size(); ++r) {
    const bool kept = best >> r & 1U;
    if (kept && shows_nothing(visits[r])) silent += 1.0;
    if (!kept || !shows_nothing(visits[r])) showing += 1.0;
  }
  const bool all_kept_silent = silent == static_cast<double>(std::popcount(best));
  if (all_kept_silent && showing > 0.0 && silent <= 2.0) out.contested = true;
  for (std::size_t r = 0; r < all.size(); ++r) {
    const bool kept =
        r < visits.size() ? (best >> r & 1U) != 0 : distance_squared(answer, all[r]) < 20.0;
    if (kept) continue;
    const Alone a = r < visits.size() ? by_itself[r] : alone(all[r], others);
    const auto likely = std::max_element(a.log_weight + 1, a.log_weight + 4) - a.log_weight;
    if (same_at_another_size(all[r], answer)) {
      out.visits[r].what = VisitReading::What::other_size;
      out.contested = true;
      continue;
    }
    out.visits[r].what = static_cast<VisitReading::What>(likely);
    if (likely == 2) out.visits[r].another = a.another;
  }
  return out;
}

}  // namespace qn::disturbance
