// SPDX-License-Identifier: Apache-2.0
#include "acquire/clock_estimate.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "vocab/expects.h"

namespace qn {
namespace {

constexpr std::size_t kMostKept = 2048;
constexpr double kHalfBand = 1.96;  // sigmas in half of a two-sided 95 % band

double slope(double x0, double y0, double x1, double y1) { return (y1 - y0) / (x1 - x0); }

}  // namespace

void ClockEstimate::add(double sensor_time_s, double arrival_s) {
  if (count_ == 0) {
    first_sensor_s_ = sensor_time_s;
    first_arrival_s_ = arrival_s;
  }
  const double x = sensor_time_s - first_sensor_s_;
  const double y = (arrival_s - first_arrival_s_) - x;
  QN_EXPECTS(hull_.empty() || x >= hull_.back().x);
  smallest_y_ = count_ == 0 ? y : std::min(smallest_y_, y);
  sum_x_ += x;
  if (count_ % stride_ == 0) sample_.push_back({x, y});
  ++count_;
  if (sample_.size() == kMostKept) {
    for (std::size_t i = 0; i < kMostKept / 2; ++i) sample_[i] = sample_[2 * i];
    sample_.resize(kMostKept / 2);
    stride_ *= 2;
  }
  if (hull_.empty() || x > hull_.back().x || y < hull_.back().y) {
    if (!hull_.empty() && x == hull_.back().x) hull_.pop_back();
    while (hull_.size() >= 2) {
      const Point& b = hull_.back();
      const Point& a = hull_[hull_.size() - 2];
      if (slope(a.x, a.y, b.x, b.y) < slope(b.x, b.y, x, y)) break;
      hull_.pop_back();
    }
    hull_.push_back({x, y});
  }
  if (count_ >= next_refresh_) refresh();
  // Whatever the line of the last refresh was: no reading happened after it had arrived.
  used_offset_ = count_ == 1 ? 0.0 : std::min(used_offset_, y - used_drift_ * x);
}

/// Looked at again when a quarter more has arrived: the line settles as its arrivals grow in
/// number.
void ClockEstimate::refresh() {
  next_refresh_ = count_ + count_ / 4 + 1;
  const auto line = fit();
  const bool known = line && (line->drift_95[1] - line->drift_95[0]) / 2.0 < kDriftKnown;
  used_drift_ = known ? line->drift : 0.0;
  used_offset_ = known ? line->offset_s + first_sensor_s_ - first_arrival_s_ : smallest_y_;
}

ClockEstimate::Line ClockEstimate::line_under_mean() const {
  const double mean_x = sum_x_ / static_cast<double>(count_);
  std::size_t edge = 0;
  while (edge + 2 < hull_.size() && hull_[edge + 1].x < mean_x) ++edge;
  const Point& a = hull_[edge];
  const Point& b = hull_[edge + 1];
  const double drift = slope(a.x, a.y, b.x, b.y);
  return {a.y - drift * a.x, drift};
}

std::vector<double> ClockEstimate::sorted_delays(const Line& line) const {
  std::vector<double> delays;
  delays.reserve(sample_.size());
  for (const Point& p : sample_)
    delays.push_back(std::max(0.0, p.y - line.offset - line.drift * p.x));
  std::sort(delays.begin(), delays.end());
  return delays;
}

/// By how much the shortest delay differs from one eighth of the time to the next, root mean
/// square: as far as that the line may be from the one of a delay that is always the same. No
/// distribution is assumed; exponential, uniform and normal delays are covered alike (tests, and
/// docs/math).
double ClockEstimate::unevenness(const Line& line) const {
  constexpr std::size_t kParts = 8;
  std::vector<double> shortest(kParts, std::numeric_limits<double>::infinity());
  for (const Point& p : sample_) {
    const auto part = static_cast<std::size_t>(p.x / hull_.back().x * kParts);
    double& least = shortest[std::min(kParts - 1, part)];
    least = std::min(least, p.y - line.offset - line.drift * p.x);
  }
  double squares = 0.0;
  double parts = 0.0;
  for (const double delay : shortest) {
    if (!std::isfinite(delay)) continue;
    squares += delay * delay;
    ++parts;
  }
  return std::sqrt(squares / parts);
}

std::optional<ClockFit> ClockEstimate::fit() const {
  if (count_ < 3 || hull_.size() < 2) return std::nullopt;
  const double mean_x = sum_x_ / static_cast<double>(count_);
  if (!(mean_x > hull_.front().x && mean_x < hull_.back().x)) return std::nullopt;
  const Line line = line_under_mean();
  const auto delays = sorted_delays(line);
  ClockFit fit;
  fit.arrivals = count_;
  fit.span_s = hull_.back().x;
  fit.drift = line.drift;
  fit.reference_s = first_sensor_s_;
  fit.offset_s = line.offset + first_arrival_s_ - first_sensor_s_;
  fit.delay_median_s = delays[delays.size() / 2];
  fit.delay_95_s = delays[delays.size() * 95 / 100];
  // Arrivals in the ticks of a port's timer can keep step with the sensor for a while, and look
  // more even than they are: a part of the usual delay is always granted.
  fit.offset_sigma_s = std::max(unevenness(line), fit.delay_median_s / 8.0);
  // Two arrivals, about half the span apart, decide the slope.
  const double half = kHalfBand * fit.offset_sigma_s / (fit.span_s / 2.0);
  fit.drift_95[0] = fit.drift - half;
  fit.drift_95[1] = fit.drift + half;
  return fit;
}

double ClockEstimate::recording_time_s(double sensor_time_s) const {
  QN_EXPECTS(count_ > 0);
  const double x = sensor_time_s - first_sensor_s_;
  return first_arrival_s_ + x + used_offset_ + used_drift_ * x;
}

}  // namespace qn
