// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <vector>

namespace qn::sensor_model {

/// One kind of residual of every sample with its 1 sigma; NaN (or an empty list) says nothing.
struct ResidualKind {
  const std::vector<double>* values;
  double sigma;
};

/// Marks samples that do not belong: use[k] = 0. A single spike goes alone; where several lie
/// close together something passed by, and its skirts, too small to be seen singly, go with it: the
/// stretch is widened as far as short means still show it, at most by its own length on both sides.
///
/// returns  how many samples are marked
std::size_t reject_stretches(const std::vector<double>& time_s,
                             const std::vector<ResidualKind>& kinds, double gross_sigma,
                             std::vector<unsigned char>& use);

}  // namespace qn::sensor_model
