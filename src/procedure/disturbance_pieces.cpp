// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>

#include "procedure/disturbance_pieces_internal.h"

namespace qn::disturbance {

std::size_t Pieces::at(double time_s) const {
  const double k = (time_s - from_s) / length_s;
  return static_cast<std::size_t>(std::clamp(k, 0.0, static_cast<double>(size() - 1)));
}

Pieces empty_pieces(const SensorRecording& log, double length_s, double interval_s) {
  Pieces out;
  out.nominal_count = std::max(1.0, std::round(std::max(length_s, interval_s) / interval_s));
  out.length_s = out.nominal_count * interval_s;
  out.from_s = log.time_s.front() - 0.5 * interval_s;
  const double span = log.time_s.back() - out.from_s;
  const auto pieces = static_cast<std::size_t>(std::floor(span / out.length_s)) + 1;
  out.count.assign(pieces, 0.0);
  for (auto& sum : out.mean_uT) sum.assign(pieces, 0.0);
  return out;
}

void add_samples(const SensorRecording& log, std::size_t from, std::size_t to, Pieces& pieces) {
  const double per_s = 1.0 / pieces.length_s;
  const double last = static_cast<double>(pieces.size() - 1);
  const double* const time_s = log.time_s.data();
  const double* const x = log.field[0].data();
  const double* const y = log.field[1].data();
  const double* const z = log.field[2].data();
  for (std::size_t k = from; k < to; ++k) {
    const double at = (time_s[k] - pieces.from_s) * per_s;
    const auto p = static_cast<std::size_t>(std::clamp(at, 0.0, last));
    pieces.count[p] += 1.0;
    pieces.mean_uT[0][p] += x[k];
    pieces.mean_uT[1][p] += y[k];
    pieces.mean_uT[2][p] += z[k];
  }
}

void leave_out_sample(const SensorRecording& log, std::size_t sample, Pieces& pieces) {
  const double at = (log.time_s[sample] - pieces.from_s) * (1.0 / pieces.length_s);
  const auto p =
      static_cast<std::size_t>(std::clamp(at, 0.0, static_cast<double>(pieces.size() - 1)));
  pieces.count[p] -= 1.0;
  for (std::size_t axis = 0; axis < 3; ++axis) {
    pieces.mean_uT[axis][p] -= log.field[axis][sample];
    if (pieces.count[p] <= 0.0) pieces.mean_uT[axis][p] = 0.0;
  }
}

void sums_to_means(Pieces& pieces) {
  for (std::size_t p = 0; p < pieces.size(); ++p) {
    const double share = 1.0 / std::max(pieces.count[p], 1.0);
    for (auto& mean : pieces.mean_uT) mean[p] *= share;
  }
}

Pieces merged(const Pieces& sums, std::size_t together) {
  Pieces out;
  out.from_s = sums.from_s;
  out.length_s = sums.length_s * static_cast<double>(together);
  out.nominal_count = sums.nominal_count * static_cast<double>(together);
  const std::size_t n = (sums.size() + together - 1) / together;
  const auto add_up = [&](const std::vector<double>& from, std::vector<double>& to) {
    to.assign(n, 0.0);
    for (std::size_t p = 0; p < n; ++p) {
      const std::size_t last = std::min((p + 1) * together, from.size());
      for (std::size_t k = p * together; k < last; ++k) to[p] += from[k];
    }
  };
  add_up(sums.count, out.count);
  for (std::size_t axis = 0; axis < 3; ++axis) add_up(sums.mean_uT[axis], out.mean_uT[axis]);
  return out;
}

Pieces merged_means(const Pieces& means, double most_s) {
  const auto together =
      static_cast<std::size_t>(std::max(1.0, std::floor(most_s / means.length_s + 1e-6)));
  Pieces sums = means;
  for (auto& mean : sums.mean_uT) {
    for (std::size_t k = 0; k < sums.size(); ++k) mean[k] *= sums.count[k];
  }
  Pieces out = merged(sums, together);
  sums_to_means(out);
  return out;
}

}  // namespace qn::disturbance
