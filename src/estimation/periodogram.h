// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <memory>
#include <vector>

namespace qn {

/// |sum values[k] exp(-2 pi i f k)|^2 at frequencies f = j / padded cycles a sample, j = 0 ..
/// padded / 2. Leave unused samples at zero. Made once for many series: the transform's tables cost
/// as much as the transform.
class PowerSpectrum {
 public:
  /// padded  a power of two, at least as long as any series
  explicit PowerSpectrum(std::size_t padded);
  ~PowerSpectrum();
  PowerSpectrum(const PowerSpectrum&) = delete;
  PowerSpectrum& operator=(const PowerSpectrum&) = delete;

  std::vector<double> of(const std::vector<double>& values) const;
  std::size_t padded() const { return padded_; }

 private:
  struct Transform;
  std::size_t padded_;
  std::unique_ptr<Transform> transform_;
};

/// The smallest power of two that is at least n.
std::size_t padded_size(std::size_t n);

/// How unlikely a sum x of k independent unit exponential variables is, as a standard normal
/// deviate (Wilson and Hilferty's cube root, PNAS 17, 1931: good to a tenth in the tails).
double exponential_sum_deviate(double x, double k);

}  // namespace qn
