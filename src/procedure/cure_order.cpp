// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <numbers>

#include "procedure/cure_order_internal.h"

namespace qn {
namespace {

using Set = std::vector<std::size_t>;  // devices, by number
constexpr std::size_t kDirections = 36;
// Equal but for rounding is equal: then the device listed first counts.
constexpr double kClearly = 1.0 - 1e-9;

// What stays of the worst phase when a set of devices is cured. A table of how far each device
// reaches along fixed directions gives a lower bound in a few additions, so that nearly every set
// is dismissed without the exact sum.
class Leftover {
 public:
  explicit Leftover(const std::vector<std::vector<PlaneDevice>>& phases) : phases_{phases} {
    for (const auto& phase : phases) {
      for (const PlaneDevice& device : phase) {
        if (number_of(device.name) == names_.size()) names_.push_back(device.name);
      }
    }
    for (const auto& phase : phases) {
      std::vector<Reach> reaches(names_.size(), Reach{});
      numbers_.emplace_back();
      for (const PlaneDevice& device : phase) {
        numbers_.back().push_back(number_of(device.name));
        Reach& reach = reaches[numbers_.back().back()];
        for (std::size_t k = 0; k < kDirections; ++k) reach[k] += reach_along(device, k);
      }
      Reach total{};
      for (const Reach& reach : reaches) {
        for (std::size_t k = 0; k < kDirections; ++k) total[k] += reach[k];
      }
      reaches_.push_back(std::move(reaches));
      totals_.push_back(total);
    }
  }

  const std::vector<std::string>& names() const { return names_; }

  /// The exact length left, or anything above `enough` once it is known to be above.
  double without(const Set& cured, double enough) const {
    for (std::size_t p = 0; p < phases_.size(); ++p) {
      for (std::size_t k = 0; k < kDirections; ++k) {
        double left = totals_[p][k];
        for (const std::size_t d : cured) left -= reaches_[p][d][k];
        // A little room for the rounding of these differences.
        if (left > enough * (1.0 + 1e-9) + 1e-9 * totals_[p][k]) return left;
      }
    }
    double longest = 0.0;
    for (std::size_t p = 0; p < phases_.size(); ++p) {
      std::vector<PlaneDevice> rest;
      for (std::size_t i = 0; i < phases_[p].size(); ++i) {
        if (std::find(cured.begin(), cured.end(), numbers_[p][i]) == cured.end()) {
          rest.push_back(phases_[p][i]);
        }
      }
      longest = std::max(longest, strongest_sum(rest).length);
    }
    return longest;
  }

 private:
  using Reach = std::array<double, kDirections>;

  std::size_t number_of(const std::string& name) const {
    return static_cast<std::size_t>(std::find(names_.begin(), names_.end(), name) - names_.begin());
  }
  static double reach_along(const PlaneDevice& device, std::size_t k) {
    static const std::array<PlaneField, kDirections> kAlong = [] {
      std::array<PlaneField, kDirections> out;
      for (std::size_t i = 0; i < kDirections; ++i) {
        const double t = 2.0 * std::numbers::pi * static_cast<double>(i) / kDirections;
        out[i] = {std::cos(t), std::sin(t)};
      }
      return out;
    }();
    double reach = device.may_be_off ? 0.0 : -std::numeric_limits<double>::infinity();
    for (const PlaneField& v : device.states) {
      reach = std::max(reach, v.x * kAlong[k].x + v.y * kAlong[k].y);
    }
    return reach;
  }

  const std::vector<std::vector<PlaneDevice>>& phases_;
  std::vector<std::string> names_;
  std::vector<std::vector<std::size_t>> numbers_;  // phase, its devices
  std::vector<std::vector<Reach>> reaches_;        // phase, device
  std::vector<Reach> totals_;                      // phase
};

struct BestSet {
  Set set;
  double length = std::numeric_limits<double>::infinity();
};

// The set of that size which leaves least, with `given` in it, looking at each device once.
void search(const Leftover& leftover, Set& given, std::size_t from, std::size_t more,
            BestSet& best) {
  if (more == 0) {
    const double length = leftover.without(given, best.length);
    if (length < best.length * kClearly) best = {given, length};
    return;
  }
  for (std::size_t d = from; d + more <= leftover.names().size(); ++d) {
    given.push_back(d);
    search(leftover, given, d + 1, more - 1, best);
    given.pop_back();
  }
}

BestSet best_set(const Leftover& leftover, std::size_t size) {
  BestSet best;
  Set none;
  search(leftover, none, 0, size, best);
  return best;
}

BestSet with_one_more(const Leftover& leftover, const Set& cured, const Set& candidates) {
  BestSet best;
  for (const std::size_t d : candidates) {
    if (std::find(cured.begin(), cured.end(), d) != cured.end()) continue;
    Set more = cured;
    more.push_back(d);
    const double length = leftover.without(more, best.length);
    if (length < best.length * kClearly) best = {std::move(more), length};
  }
  return best;
}

Set all_of(const Leftover& leftover) {
  Set all(leftover.names().size());
  for (std::size_t d = 0; d < all.size(); ++d) all[d] = d;
  return all;
}

}  // namespace

std::optional<Cure> best_cure(const std::vector<std::vector<PlaneDevice>>& phases) {
  const Leftover leftover{phases};
  const double now = leftover.without({}, std::numeric_limits<double>::infinity());
  const BestSet best = best_set(leftover, 1);
  if (best.set.empty() || !(best.length < now * kClearly)) return std::nullopt;
  return Cure{leftover.names()[best.set[0]], best.length};
}

std::vector<std::string> fewest_cures(const std::vector<std::vector<PlaneDevice>>& phases,
                                      double allowed_uT) {
  const Leftover leftover{phases};
  const std::size_t count = leftover.names().size();
  BestSet found{{}, leftover.without({}, std::numeric_limits<double>::infinity())};
  for (std::size_t size = 1; size <= std::min<std::size_t>(3, count); ++size) {
    if (found.length <= allowed_uT) break;
    found = best_set(leftover, size);
  }
  const Set all = all_of(leftover);
  while (found.length > allowed_uT && found.set.size() < count) {
    found = with_one_more(leftover, found.set, all);
  }
  Set ordered;
  while (ordered.size() < found.set.size()) {
    ordered = with_one_more(leftover, ordered, found.set).set;
  }
  std::vector<std::string> names;
  for (const std::size_t d : ordered) names.push_back(leftover.names()[d]);
  return names;
}

}  // namespace qn
