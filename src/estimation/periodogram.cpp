// SPDX-License-Identifier: Apache-2.0
#include "estimation/periodogram.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <utility>

#include "vocab/expects.h"

namespace qn {

PowerSpectrum::PowerSpectrum(std::size_t padded)
    : padded_{padded},
      cosine_(padded),
      sine_(padded),
      re_(padded),
      im_(padded),
      re_work_(padded),
      im_work_(padded) {
  QN_EXPECTS(padded > 1 && padded == padded_size(padded));
  for (std::size_t k = 0; k < padded; ++k) {
    const double angle =
        2.0 * std::numbers::pi * static_cast<double>(k) / static_cast<double>(padded);
    cosine_[k] = static_cast<float>(std::cos(angle));
    sine_[k] = static_cast<float>(-std::sin(angle));
  }
  for (std::size_t turns = 1; turns <= 3; ++turns) {
    for (std::size_t p = 0; p < padded / 4; ++p) {
      first_cosine_.push_back(cosine_[turns * p]);
      first_sine_.push_back(sine_[turns * p]);
    }
  }
}

// The first of the passes below, whose neighbours are not those of the others.
void PowerSpectrum::first_pass() const {
  const std::size_t quarter = padded_ / 4;
  const float* const ar = re_.data();
  const float* const ai = im_.data();
  const float* const c = first_cosine_.data();
  const float* const s = first_sine_.data();
  float* __restrict br = re_work_.data();
  float* __restrict bi = im_work_.data();
  for (std::size_t p = 0; p < quarter; ++p) {
    const float sum02r = ar[p] + ar[p + 2 * quarter], sum02i = ai[p] + ai[p + 2 * quarter];
    const float dif02r = ar[p] - ar[p + 2 * quarter], dif02i = ai[p] - ai[p + 2 * quarter];
    const float sum13r = ar[p + quarter] + ar[p + 3 * quarter];
    const float sum13i = ai[p + quarter] + ai[p + 3 * quarter];
    const float dif13r = ar[p + quarter] - ar[p + 3 * quarter];
    const float dif13i = ai[p + quarter] - ai[p + 3 * quarter];
    const float t1r = dif02r + dif13i, t1i = dif02i - dif13r;
    const float t2r = sum02r - sum13r, t2i = sum02i - sum13i;
    const float t3r = dif02r - dif13i, t3i = dif02i + dif13r;
    const float c1 = c[p], c2 = c[p + quarter], c3 = c[p + 2 * quarter];
    const float s1 = s[p], s2 = s[p + quarter], s3 = s[p + 2 * quarter];
    br[4 * p] = sum02r + sum13r;
    br[4 * p + 1] = c1 * t1r - s1 * t1i;
    br[4 * p + 2] = c2 * t2r - s2 * t2i;
    br[4 * p + 3] = c3 * t3r - s3 * t3i;
    bi[4 * p] = sum02i + sum13i;
    bi[4 * p + 1] = c1 * t1i + s1 * t1r;
    bi[4 * p + 2] = c2 * t2i + s2 * t2r;
    bi[4 * p + 3] = c3 * t3i + s3 * t3r;
  }
}

// Stockham's self-sorting transform by fours, what is left over by two: each pass reads one pair of
// arrays and writes the other, its innermost loop along neighbours.
void PowerSpectrum::transform() const {
  float* xr = re_.data();
  float* xi = im_.data();
  float* yr = re_work_.data();
  float* yi = im_work_.data();
  std::size_t stride = 1;
  std::size_t n = padded_;
  if (n >= 4) {
    first_pass();
    std::swap(xr, yr);
    std::swap(xi, yi);
    n /= 4;
    stride = 4;
  }
  for (; n >= 4; n /= 4, stride *= 4) {
    const std::size_t quarter = n / 4;
    for (std::size_t p = 0; p < quarter; ++p) {
      const float c1 = cosine_[p * stride], s1 = sine_[p * stride];
      const float c2 = cosine_[2 * p * stride], s2 = sine_[2 * p * stride];
      const float c3 = cosine_[3 * p * stride], s3 = sine_[3 * p * stride];
      const std::size_t in = stride * p;
      const std::size_t out = 4 * stride * p;
      const float* ar = xr + in;
      const float* ai = xi + in;
      const std::size_t far = stride * quarter;
      float* __restrict br = yr + out;
      float* __restrict bi = yi + out;
      for (std::size_t q = 0; q < stride; ++q) {
        const float sum02r = ar[q] + ar[q + 2 * far], sum02i = ai[q] + ai[q + 2 * far];
        const float dif02r = ar[q] - ar[q + 2 * far], dif02i = ai[q] - ai[q + 2 * far];
        const float sum13r = ar[q + far] + ar[q + 3 * far], sum13i = ai[q + far] + ai[q + 3 * far];
        const float dif13r = ar[q + far] - ar[q + 3 * far], dif13i = ai[q + far] - ai[q + 3 * far];
        br[q] = sum02r + sum13r;
        bi[q] = sum02i + sum13i;
        const float t1r = dif02r + dif13i, t1i = dif02i - dif13r;
        br[q + stride] = c1 * t1r - s1 * t1i;
        bi[q + stride] = c1 * t1i + s1 * t1r;
        const float t2r = sum02r - sum13r, t2i = sum02i - sum13i;
        br[q + 2 * stride] = c2 * t2r - s2 * t2i;
        bi[q + 2 * stride] = c2 * t2i + s2 * t2r;
        const float t3r = dif02r - dif13i, t3i = dif02i + dif13r;
        br[q + 3 * stride] = c3 * t3r - s3 * t3i;
        bi[q + 3 * stride] = c3 * t3i + s3 * t3r;
      }
    }
    std::swap(xr, yr);
    std::swap(xi, yi);
  }
  if (n == 2) {
    for (std::size_t q = 0; q < stride; ++q) {
      yr[q] = xr[q] + xr[q + stride];
      yi[q] = xi[q] + xi[q + stride];
      yr[q + stride] = xr[q] - xr[q + stride];
      yi[q + stride] = xi[q] - xi[q + stride];
    }
    std::swap(xr, yr);
    std::swap(xi, yi);
  }
  if (xr != re_.data()) {
    re_.swap(re_work_);
    im_.swap(im_work_);
  }
}

std::array<std::vector<float>, 2> PowerSpectrum::of_two(const std::vector<double>& a,
                                                        const std::vector<double>& b) const {
  QN_EXPECTS(a.size() <= padded_ && b.size() <= padded_);
  const auto put = [&](const std::vector<double>& from, std::vector<float>& to) {
    for (std::size_t k = 0; k < from.size(); ++k) to[k] = static_cast<float>(from[k]);
    std::fill(to.begin() + static_cast<std::ptrdiff_t>(from.size()), to.end(), 0.0F);
  };
  put(a, re_);
  put(b, im_);
  transform();
  // One is the real, the other the imaginary part: their transforms are the even and the odd part.
  const std::size_t half = padded_ / 2;
  std::array<std::vector<float>, 2> out{std::vector<float>(half + 1), std::vector<float>(half + 1)};
  for (std::size_t j = 0; j <= half; ++j) {
    const std::size_t other = j == 0 ? 0 : padded_ - j;
    const float even_r = re_[j] + re_[other], even_i = im_[j] - im_[other];
    const float odd_r = re_[j] - re_[other], odd_i = im_[j] + im_[other];
    out[0][j] = 0.25F * (even_r * even_r + even_i * even_i);
    out[1][j] = 0.25F * (odd_r * odd_r + odd_i * odd_i);
  }
  return out;
}

std::vector<float> PowerSpectrum::of(const std::vector<double>& values) const {
  return of_two(values, {})[0];
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

double exponential_sum_at(double deviate, double k) {
  const double spread = 1.0 / (9.0 * k);
  return k * std::pow(deviate * std::sqrt(spread) + 1.0 - spread, 3);
}

}  // namespace qn
