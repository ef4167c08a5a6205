// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <cstddef>
#include <vector>

#include "vocab/sample.h"

namespace qn::disturbance {

/// Means over equal pieces of time. A piece without samples has count 0.
struct Pieces {
  double from_s = 0.0;
  double length_s = 0.0;
  std::array<std::vector<double>, 3> mean_uT;
  std::vector<double> count;  ///< samples in it
  double nominal_count = 1.0;

  std::size_t size() const { return count.size(); }
  double middle_s(std::size_t k) const {
    return from_s + (static_cast<double>(k) + 0.5) * length_s;
  }
  /// The piece that holds `time_s`, kept inside the series.
  std::size_t at(double time_s) const;
};

/// Pieces of about `length_s` (a whole number of samples) for the whole recording, nothing in them.
Pieces empty_pieces(const SensorRecording& recording, double length_s, double interval_s);

/// Samples [from, to) put into their pieces, a sample taken out again: sums, until they are made
/// means.
void add_samples(const SensorRecording& recording, std::size_t from, std::size_t to,
                 Pieces& pieces);
void leave_out_sample(const SensorRecording& recording, std::size_t sample, Pieces& pieces);
void sums_to_means(Pieces& pieces);

/// Each so many pieces put together; both hold sums.
Pieces merged(const Pieces& sums, std::size_t together);

/// Pieces put together, as many as fit into `most_s`; both hold means.
Pieces merged_means(const Pieces& means, double most_s);

}  // namespace qn::disturbance
