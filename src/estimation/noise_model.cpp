// SPDX-License-Identifier: Apache-2.0
#include "estimation/noise_model.h"

#include <algorithm>
#include <cmath>

namespace qn {
namespace {

// The filter's gains depend only on times and use, not on the data, so they are worked out once
// and every column then runs through the same short recursion.
struct Gains {
  std::vector<double> carry;    // how much of the state before reaches this row
  std::vector<double> gain;     // of the filter at this row; 0 where the row is not in use
  std::vector<double> inverse;  // 1 / innovation sd; 0 where the row is not in use
  double log_variances = 0.0;
};

Gains filter_gains(const RowBlock& block, const NoiseModel& noise, WhitenerState& state) {
  Gains g;
  g.carry.resize(block.rows);
  g.gain.resize(block.rows);
  g.inverse.resize(block.rows);
  double state_variance = state.started ? state.variance : noise.slow_variance;
  double last_time_s = state.time_s;
  double last_dt = -1.0;
  double fade = 0.0;
  for (std::size_t k = 0; k < block.rows; ++k) {
    double carry = 0.0;
    if (k > 0 || state.started) {
      const double dt = block.time_s[k] - last_time_s;
      if (dt != last_dt) {  // most recordings are evenly sampled, and exp is the dear part
        fade = std::exp(-dt / noise.time_constant_s);
        last_dt = dt;
      }
      carry = fade * block.turn[k];
      state_variance = carry * carry * state_variance + noise.slow_variance * (1.0 - carry * carry);
    }
    last_time_s = block.time_s[k];
    g.carry[k] = carry;
    if (!block.use[k]) continue;
    const double innovation = state_variance + noise.white_variance;
    g.gain[k] = state_variance / innovation;
    g.inverse[k] = 1.0 / std::sqrt(innovation);
    g.log_variances += std::log(innovation);
    state_variance *= 1.0 - g.gain[k];
  }
  state.variance = state_variance;
  state.time_s = last_time_s;
  return g;
}

double whiten_white(RowBlock& block, double variance) {
  const double inverse = 1.0 / std::sqrt(variance);
  std::size_t used = 0;
  for (std::size_t k = 0; k < block.rows; ++k) used += block.use[k];
  for (std::size_t p = 0; p <= block.parameters; ++p) {
    double* c = block.column(p);
    for (std::size_t k = 0; k < block.rows; ++k) c[k] = block.use[k] ? c[k] * inverse : 0.0;
  }
  return static_cast<double>(used) * std::log(variance);
}

}  // namespace

double NoiseModel::variance_of_mean(std::size_t n, double interval_s) const {
  const double count = static_cast<double>(n);
  double slow = slow_variance;
  if (slow_variance > 0.0 && n > 1) {
    const double phi = std::exp(-interval_s / time_constant_s);
    const double tail = phi * (1.0 - std::pow(phi, count)) / (count * (1.0 - phi));
    slow *= (1.0 + phi - 2.0 * tail) / (count * (1.0 - phi));
  }
  return white_variance / count + slow;
}

double whiten(RowBlock& block, const NoiseModel& noise, WhitenerState& state) {
  if (noise.slow_variance <= 0.0) return whiten_white(block, noise.white_variance);
  const Gains g = filter_gains(block, noise, state);
  state.columns.resize(block.parameters + 1, 0.0);
  for (std::size_t p = 0; p <= block.parameters; ++p) {
    double* c = block.column(p);
    double slow = state.columns[p];
    for (std::size_t k = 0; k < block.rows; ++k) {
      slow *= g.carry[k];
      const double surprise = block.use[k] ? c[k] - slow : 0.0;
      c[k] = surprise * g.inverse[k];
      slow += g.gain[k] * surprise;
    }
    state.columns[p] = slow;
  }
  state.started = state.started || block.rows > 0;
  return g.log_variances;
}

}  // namespace qn
