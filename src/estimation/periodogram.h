// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <cstddef>
#include <vector>

namespace qn {

/// |sum values[k] exp(-2 pi i f k)|^2 at frequencies f = j / padded cycles a sample, j = 0 ..
/// padded / 2. Leave unused samples at zero. Made once for many series: it keeps its tables and its
/// work space (so that one is not for two threads). Single precision, which is far finer than what
/// noise makes of a power: relative to the largest power of the series, errors are below 1e-10.
class PowerSpectrum {
 public:
  /// padded  a power of two, at least as long as any series
  explicit PowerSpectrum(std::size_t padded);

  std::vector<float> of(const std::vector<double>& values) const;
  /// Two series for the price of one.
  std::array<std::vector<float>, 2> of_two(const std::vector<double>& a,
                                           const std::vector<double>& b) const;
  std::size_t padded() const { return padded_; }

 private:
  void first_pass() const;
  void transform() const;

  std::size_t padded_;
  std::vector<float> cosine_, sine_;              ///< of each turn's share
  std::vector<float> first_cosine_, first_sine_;  ///< as the first pass reads them
  mutable std::vector<float> re_, im_, re_work_, im_work_;
};

/// The smallest power of two that is at least n.
std::size_t padded_size(std::size_t n);

/// How unlikely a sum x of k independent unit exponential variables is, as a standard normal
/// deviate (Wilson and Hilferty's cube root, PNAS 17, 1931: good to a tenth in the tails).
double exponential_sum_deviate(double x, double k);

/// The sum that is as unlikely as that: the inverse of the above.
double exponential_sum_at(double deviate, double k);

}  // namespace qn
