// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>

#include "procedure/sensor_reject_internal.h"

namespace qn::sensor_model {
namespace {

constexpr double kJoin_s = 1.0;  // a person passes for seconds: gross samples this close are one

}  // namespace

// A dipole passing at a steady pace falls off as (1 + (t/T)^2)^-3/2. If its peak is 20 sigma it is
// above 4.5 sigma for |t| < 1.3 T and below 0.3 sigma beyond 3.9 T: three times as far out. Hence
// one length to each side.
std::size_t reject_stretches(const std::vector<double>& time_s,
                             const std::vector<ResidualKind>& kinds, double gross_sigma,
                             std::vector<unsigned char>& use) {
  const std::size_t n = time_s.size();
  use.assign(n, 1);
  std::vector<std::size_t> gross;
  for (std::size_t k = 0; k < n; ++k) {
    const bool far = std::any_of(kinds.begin(), kinds.end(), [&](const ResidualKind& kind) {
      return !kind.values->empty() && std::abs((*kind.values)[k]) > gross_sigma * kind.sigma;
    });
    if (far) gross.push_back(k);
  }
  for (std::size_t i = 0; i < gross.size();) {
    std::size_t last = i;
    while (last + 1 < gross.size() && time_s[gross[last + 1]] - time_s[gross[last]] <= kJoin_s) {
      ++last;
    }
    std::size_t from = gross[i];
    std::size_t to = gross[last];
    if (last - i >= 2) {
      const double reach = time_s[to] - time_s[from];
      const auto begin = time_s.begin();
      from = static_cast<std::size_t>(std::lower_bound(begin, time_s.end(), time_s[from] - reach) -
                                      begin);
      to = static_cast<std::size_t>(std::upper_bound(begin, time_s.end(), time_s[to] + reach) -
                                    begin) -
           1;
    }
    for (std::size_t k = from; k <= to; ++k) use[k] = 0;
    i = last + 1;
  }
  return n - static_cast<std::size_t>(std::count(use.begin(), use.end(), 1));
}

}  // namespace qn::sensor_model
