// SPDX-License-Identifier: Apache-2.0
#include "estimation/periodogram.h"

#include <cmath>
#include <complex>
#include <unsupported/Eigen/FFT>

#include "vocab/expects.h"

namespace qn {

std::vector<double> power_spectrum(const std::vector<double>& values, std::size_t padded) {
  QN_EXPECTS(padded >= values.size() && padded > 1);
  std::vector<double> series = values;
  series.resize(padded, 0.0);
  Eigen::FFT<double> fft;
  fft.SetFlag(Eigen::FFT<double>::HalfSpectrum);
  std::vector<std::complex<double>> spectrum;
  fft.fwd(spectrum, series);
  std::vector<double> power;
  power.reserve(spectrum.size());
  for (const auto& c : spectrum) power.push_back(std::norm(c));
  return power;
}

std::size_t padded_size(std::size_t n) {
  std::size_t size = 2;
  while (size < n) size *= 2;
  return size;
}

double exponential_sum_deviate(double x, double k) {
  if (x <= 0.0) return -10.0;
  // The sum is half a chi-square with 2k degrees of freedom.
  const double spread = 1.0 / (9.0 * k);
  return (std::cbrt(x / k) - (1.0 - spread)) / std::sqrt(spread);
}

}  // namespace qn
