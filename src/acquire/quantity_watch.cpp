// SPDX-License-Identifier: Apache-2.0
#include "acquire/quantity_watch.h"

#include <algorithm>
#include <cmath>

#include "vocab/heading.h"

namespace qn {
namespace {

constexpr std::size_t kEnough = 8;
constexpr double kSigmaOfMedianSize = 1.4826;  // of a normal: sigma / median of its size

}  // namespace

double median_of(std::vector<double> values) {
  if (values.empty()) return 0.0;
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  return *middle;
}

void QuantityWatch::add(double time_s, double value) {
  if (!any() || value != last()) {
    same_since_s_ = time_s;
    same_readings_ = 0;
  }
  same_until_s_ = time_s;
  ++same_readings_;
  if (values_.size() < kKept) {
    values_.push_back(value);
    next_ = values_.size() % kKept;
    return;
  }
  values_[next_] = value;
  next_ = (next_ + 1) % kKept;
}

std::vector<double> QuantityWatch::in_order() const {
  if (values_.size() < kKept) return values_;
  std::vector<double> ordered{values_.begin() + static_cast<std::ptrdiff_t>(next_), values_.end()};
  ordered.insert(ordered.end(), values_.begin(),
                 values_.begin() + static_cast<std::ptrdiff_t>(next_));
  return ordered;
}

std::vector<double> QuantityWatch::steps(std::size_t apart) const {
  const auto ordered = in_order();
  std::vector<double> out;
  for (std::size_t i = apart; i < ordered.size(); ++i) {
    const double step = ordered[i] - ordered[i - apart];
    out.push_back(std::fabs(circular_ ? wrap_180_deg(step) : step));
  }
  return out;
}

double QuantityWatch::median() const { return median_of(values_); }

double QuantityWatch::noise() const {
  if (values_.size() < kEnough) return 0.0;
  return kSigmaOfMedianSize * median_of(steps(1)) / std::sqrt(2.0);
}

bool QuantityWatch::takes_turns() const {
  constexpr std::size_t kReadings = 30;
  constexpr double kTimes = 5.0;
  if (values_.size() < kReadings) return false;
  // A median of 0 (coarse steps) says nothing by itself: something must move every time.
  const double next = median_of(steps(1));
  return next > 0.0 && next > kTimes * median_of(steps(2));
}

}  // namespace qn
