// SPDX-License-Identifier: Apache-2.0
#include "procedure/swing_means.h"

#include <algorithm>
#include <cmath>

#include "procedure/swing_solve.h"
#include "vocab/heading.h"

namespace qn {
namespace {

// Between mark and reading, whichever is nearer to the heading: worksheets count a reading on 042
// for NE. Halfway to the lines of a 30 degree swing.
constexpr double kBeside_deg = 12.5;

struct Octant {
  double sum_deg = 0.0;
  int count = 0;
  double mean() const { return sum_deg / count; }
};

std::optional<std::size_t> octant_of(const SwingObserved& o) {
  double nearest = kBeside_deg;
  std::optional<std::size_t> out;
  for (std::size_t k = 0; k < 8; ++k) {
    const double heading = 45.0 * static_cast<double>(k);
    for (const double at : {o.indicated_deg, o.station_deg}) {
      const double off = std::fabs(wrap_180_deg(at - heading));
      if (off >= nearest) continue;
      nearest = off;
      out = k;
    }
  }
  return out;
}

}  // namespace

std::optional<SwingMeans> swing_by_means(const std::vector<SwingObserved>& observed) {
  std::array<Octant, 8> on;
  for (const SwingObserved& o : observed) {
    const auto k = o.used ? octant_of(o) : std::nullopt;
    if (!k) continue;
    on[*k].sum_deg += o.deviation_deg;
    ++on[*k].count;
  }
  const auto read = [&](std::size_t first) {
    for (std::size_t k = first; k < 8; k += 2) {
      if (on[k].count == 0) return false;
    }
    return true;
  };
  if (!read(0)) return std::nullopt;
  SwingMeans out;
  const double n = on[0].mean(), e = on[2].mean(), s = on[4].mean(), w = on[6].mean();
  auto& k = out.coefficients_deg;
  k = {0.25 * (n + e + s + w), 0.5 * (e - w), 0.5 * (n - s), 0.0, 0.25 * (n + s - e - w)};
  out.told = {true, true, true, false, true};
  if (read(1)) {
    const double ne = on[1].mean(), se = on[3].mean(), sw = on[5].mean(), nw = on[7].mean();
    out.headings = 8;
    k[0] = 0.5 * k[0] + 0.125 * (ne + se + sw + nw);
    k[3] = 0.25 * (ne + sw - se - nw);
    out.told[3] = true;
  }
  for (const SwingObserved& o : observed) out.less_a_deg.push_back(o.deviation_deg - k[0]);
  return out;
}

}  // namespace qn
