// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>

#include "procedure/heading_repeats_internal.h"

namespace qn::heading_only {
namespace {

using disturbance::RepeatsReading;
using disturbance::VisitReading;

constexpr double kFar = 5.0;  // sigmas: by chance once in two million visits

struct Together {
  double mean = 0.0, sigma = 0.0;
  bool agree = true;
};

Together together(const std::vector<TurnedOnce>& visits, const std::vector<unsigned char>& kept,
                  double matters) {
  double weight = 0.0;
  double sum = 0.0;
  double least = 1e300;
  double most = -1e300;
  std::size_t count = 0;
  for (std::size_t r = 0; r < visits.size(); ++r) {
    if (!kept[r]) continue;
    const double w = 1.0 / (visits[r].sigma * visits[r].sigma);
    weight += w;
    sum += w * visits[r].size;
    least = std::min(least, visits[r].size);
    most = std::max(most, visits[r].size);
    ++count;
  }
  Together out;
  out.mean = sum / weight;
  out.sigma = 1.0 / std::sqrt(weight);
  double square = 0.0;
  for (std::size_t r = 0; r < visits.size(); ++r) {
    if (kept[r]) square += std::pow((visits[r].size - out.mean) / visits[r].sigma, 2);
  }
  // Far above what chance gives: its mean is count - 1, its variance twice that.
  const double degrees = static_cast<double>(count) - 1.0;
  out.agree = most - least <= matters || square < degrees + 5.0 * std::sqrt(2.0 * degrees);
  return out;
}

}  // namespace

RepeatsReading read_turns(const std::vector<TurnedOnce>& given, double matters) {
  std::vector<TurnedOnce> visits = given;
  for (TurnedOnce& visit : visits) {
    visit.sigma = std::max(std::hypot(visit.sigma, matters / 3.0), 1e-12);
  }
  RepeatsReading out;
  out.visits.resize(visits.size());
  out.quiet = std::all_of(visits.begin(), visits.end(), [](const TurnedOnce& visit) {
    return std::abs(visit.size) < 4.0 * visit.sigma;
  });
  std::vector<unsigned char> kept(visits.size(), 1);
  std::size_t left = visits.size();
  while (left > 1 && !together(visits, kept, matters).agree) {
    std::size_t at_fault = visits.size();
    double farthest = kFar;
    for (std::size_t r = 0; left > 2 && r < visits.size(); ++r) {
      if (!kept[r]) continue;
      kept[r] = 0;
      const Together others = together(visits, kept, matters);
      const double away =
          std::abs(visits[r].size - others.mean) / std::hypot(visits[r].sigma, others.sigma);
      // Most of the visits have to stand for the answer.
      if (others.agree && away > farthest && 2 * (left - 1) > visits.size()) {
        farthest = away;
        at_fault = r;
      }
      kept[r] = 1;
    }
    if (at_fault == visits.size()) {
      out.contested = true;
      out.visits.assign(visits.size(), {});
      return out;
    }
    kept[at_fault] = 0;
    --left;
    const TurnedOnce& odd = visits[at_fault];
    out.visits[at_fault].what = std::abs(odd.size) < 3.0 * odd.sigma ? VisitReading::What::skipped
                                                                     : VisitReading::What::unknown;
  }
  return out;
}

}  // namespace qn::heading_only
