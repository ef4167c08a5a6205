// SPDX-License-Identifier: Apache-2.0
#include "estimation/periodogram.h"

#include <cmath>
#include <complex>
#include <unsupported/Eigen/FFT>

#include "vocab/expects.h"

namespace qn {

struct PowerSpectrum::Transform {
  mutable Eigen::FFT<double> fft;
};

PowerSpectrum::PowerSpectrum(std::size_t padded)
    : padded_{padded}, transform_{std::make_unique<Transform>()} {
  QN_EXPECTS(padded > 1);
  transform_->fft.SetFlag(Eigen::FFT<double>::HalfSpectrum);
}

PowerSpectrum::~PowerSpectrum() = default;

std::vector<double> PowerSpectrum::of(const std::vector<double>& values) const {
  QN_EXPECTS(values.size() <= padded_);
  std::vector<double> series = values;
  series.resize(padded_, 0.0);
  std::vector<std::complex<double>> spectrum;
  transform_->fft.fwd(spectrum, series);
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
