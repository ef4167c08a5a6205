// SPDX-License-Identifier: Apache-2.0
#include "estimation/pulse_fit.h"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>

#include "vocab/expects.h"

namespace qn {
namespace {

// Seconds of pulse from phase zero to `at_s`, and how it changes with its parameters.
struct PulseTime {
  double value = 0.0, by_period = 0.0, by_duty = 0.0, by_start = 0.0;
};

PulseTime pulse_time(double at_s, double period_s, double duty) {
  const double turns = at_s / period_s;
  const double whole = std::floor(turns);
  const double phase = turns - whole;
  const bool in_pulse = phase < duty;
  const double done = whole * duty + (in_pulse ? phase : duty);  // in periods
  PulseTime out;
  out.value = period_s * done;
  out.by_period = done - (in_pulse ? turns : 0.0);
  out.by_duty = period_s * (whole + (in_pulse ? 0.0 : 1.0));
  out.by_start = in_pulse ? -1.0 : 0.0;
  return out;
}

// A stretch, and what mean and slope of it take of anything.
class Laid {
 public:
  explicit Laid(const PulseStretch& stretch) : pieces_{stretch.piece}, y_{stretch.reading} {
    middle_ = pieces_.empty() ? 0.0 : 0.5 * static_cast<double>(pieces_.front() + pieces_.back());
    for (const std::size_t k : pieces_) {
      const double x = static_cast<double>(k) - middle_;
      ones_ += 1.0;
      slope_ += x;
      square_ += x * x;
    }
    for (auto& y : y_) level(y);
  }

  // Takes mean and slope out.
  void level(std::vector<double>& v) const {
    double mean = 0.0, moment = 0.0;
    for (std::size_t i = 0; i < v.size(); ++i) {
      mean += v[i];
      moment += v[i] * (static_cast<double>(pieces_[i]) - middle_);
    }
    const double determinant = ones_ * square_ - slope_ * slope_;
    if (determinant <= 0.0) return;
    const double a = (square_ * mean - slope_ * moment) / determinant;
    const double b = (ones_ * moment - slope_ * mean) / determinant;
    for (std::size_t i = 0; i < v.size(); ++i) {
      v[i] -= a + b * (static_cast<double>(pieces_[i]) - middle_);
    }
  }

  const std::vector<std::size_t>& pieces() const { return pieces_; }
  const std::vector<double>& y(std::size_t axis) const { return y_[axis]; }

 private:
  std::vector<std::size_t> pieces_;
  double middle_ = 0.0, ones_ = 0.0, slope_ = 0.0, square_ = 0.0;
  std::array<std::vector<double>, 3> y_;
};

double dot(const std::vector<double>& a, const std::vector<double>& b) {
  double sum = 0.0;
  for (std::size_t i = 0; i < a.size(); ++i) sum += a[i] * b[i];
  return sum;
}

// Pulse shares of a stretch and their derivatives by period, duty and start, levelled.
std::array<std::vector<double>, 4> shapes_of(const Laid& laid, double piece_s, const Pulses& guess,
                                             std::size_t s) {
  std::array<std::vector<double>, 4> out;
  for (auto& v : out) v.reserve(laid.pieces().size());
  std::size_t next = 0;
  PulseTime b;  // at the end of the piece before, which is where most begin
  const auto time_at = [&](std::size_t piece) {
    return pulse_time(static_cast<double>(piece) * piece_s - guess.start_s[s], guess.period_s,
                      guess.duty);
  };
  for (const std::size_t k : laid.pieces()) {
    const PulseTime a = next > 0 && k == next ? b : time_at(k);
    next = k + 1;
    b = time_at(next);
    out[0].push_back((b.value - a.value) / piece_s);
    out[1].push_back((b.by_period - a.by_period) / piece_s);
    out[2].push_back((b.by_duty - a.by_duty) / piece_s);
    out[3].push_back((b.by_start - a.by_start) / piece_s);
  }
  for (auto& v : out) laid.level(v);
  return out;
}

struct Fitted {
  double gain = -1.0;
  Vector3 height{};
  Eigen::MatrixXd normal;  // of period, duty, starts, heights
  Eigen::VectorXd gradient;
};

Fitted fitted_at(const std::vector<Laid>& all, double piece_s, const Pulses& guess,
                 const Vector3& noise) {
  const std::size_t n = all.size();
  std::vector<std::array<std::vector<double>, 4>> shapes;
  double square = 0.0;
  Vector3 with{};
  for (std::size_t s = 0; s < n; ++s) {
    shapes.push_back(shapes_of(all[s], piece_s, guess, s));
    square += dot(shapes[s][0], shapes[s][0]);
    for (std::size_t a = 0; a < 3; ++a) with[a] += dot(shapes[s][0], all[s].y(a));
  }
  Fitted out;
  if (!(square > 1e-9)) return out;
  out.gain = 0.0;
  double height_square = 0.0;  // in units of the noise
  for (std::size_t a = 0; a < 3; ++a) {
    out.height[a] = with[a] / square;
    out.gain += with[a] * with[a] / square / noise[a];
    height_square += out.height[a] * out.height[a] / noise[a];
  }
  const auto size = static_cast<Eigen::Index>(2 + n + 3);
  out.normal = Eigen::MatrixXd::Zero(size, size);
  out.gradient = Eigen::VectorXd::Zero(size);
  const auto heights = static_cast<Eigen::Index>(2 + n);
  for (std::size_t s = 0; s < n; ++s) {
    const auto start = static_cast<Eigen::Index>(2 + s);
    const std::array<Eigen::Index, 3> at{0, 1, start};
    // What the pulses leave, along the pulses and weighted alike on all axes.
    std::vector<double> left(shapes[s][0].size(), 0.0);
    for (std::size_t a = 0; a < 3; ++a) {
      const double weight = out.height[a] / noise[a];
      for (std::size_t i = 0; i < left.size(); ++i) {
        left[i] += weight * (all[s].y(a)[i] - out.height[a] * shapes[s][0][i]);
      }
    }
    for (std::size_t i = 0; i < 3; ++i) {
      out.gradient[at[i]] += dot(shapes[s][i + 1], left);
      for (std::size_t j = 0; j < 3; ++j) {
        out.normal(at[i], at[j]) += height_square * dot(shapes[s][i + 1], shapes[s][j + 1]);
      }
      const double cross = dot(shapes[s][i + 1], shapes[s][0]);
      for (std::size_t a = 0; a < 3; ++a) {
        const double v = cross * out.height[a] / noise[a];
        out.normal(at[i], heights + static_cast<Eigen::Index>(a)) += v;
        out.normal(heights + static_cast<Eigen::Index>(a), at[i]) += v;
      }
    }
    for (std::size_t a = 0; a < 3; ++a) {
      const auto h = heights + static_cast<Eigen::Index>(a);
      out.normal(h, h) += dot(shapes[s][0], shapes[s][0]) / noise[a];
    }
  }
  return out;
}

}  // namespace

double Pulses::share(double from_s, double to_s, double start) const {
  return (pulse_time(to_s - start, period_s, duty).value -
          pulse_time(from_s - start, period_s, duty).value) /
         (to_s - from_s);
}

// Levenberg and Marquardt's damped steps: where a pulse is shorter than a piece its length and
// height cannot be told apart, only their product.
Pulses fit_pulses(const std::vector<PulseStretch>& stretches, double piece_s, Pulses guess,
                  const Vector3& noise) {
  QN_EXPECTS(!stretches.empty() && guess.start_s.size() == stretches.size());
  std::vector<Laid> all;
  for (const PulseStretch& stretch : stretches) all.emplace_back(stretch);
  constexpr int kRounds = 14;
  constexpr double kEnough = 0.01;  // of twice the log likelihood
  Fitted best = fitted_at(all, piece_s, guess, noise);
  double damping = 1e-2;
  for (int round = 0; round < kRounds && best.gain >= 0.0; ++round) {
    Eigen::MatrixXd damped = best.normal;
    damped.diagonal() *= 1.0 + damping;
    damped.diagonal().array() += 1e-12 * best.normal.diagonal().maxCoeff();
    const Eigen::VectorXd step = damped.ldlt().solve(best.gradient);
    Pulses next = guess;
    next.period_s = std::clamp(next.period_s + step[0], 0.9 * guess.period_s, 1.1 * guess.period_s);
    next.duty = std::clamp(next.duty + step[1], 0.01, 0.99);
    for (std::size_t s = 0; s < all.size(); ++s) {
      const double most = 0.25 * guess.period_s;
      next.start_s[s] += std::clamp(step[static_cast<Eigen::Index>(2 + s)], -most, most);
    }
    Fitted tried = fitted_at(all, piece_s, next, noise);
    if (tried.gain > best.gain) {
      const bool done = tried.gain - best.gain < kEnough;
      best = std::move(tried);
      guess = std::move(next);
      damping = std::max(1e-6, 0.2 * damping);
      if (done) break;
    } else {
      damping *= 8.0;
      if (damping > 1e4) break;
    }
  }
  guess.height = best.height;
  guess.gain = best.gain;
  return guess;
}

}  // namespace qn
