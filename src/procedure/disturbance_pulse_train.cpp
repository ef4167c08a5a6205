// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

#include "procedure/disturbance_pulse_train_internal.h"

namespace qn::disturbance {
namespace {

constexpr double kLeastPulses = 1.8;  // in a visit: what comes only once has no period

// Direction in which the clearest fold stands out most.
Vector3 widest_of(const std::vector<Fold>& folds) {
  const Fold* clearest = &folds.front();
  for (const Fold& f : folds) {
    if (f.between > clearest->between) clearest = &f;
  }
  Vector3 out{};
  double most = 0.0;
  for (const Vector3& m : clearest->mean_uT) {
    const double length = std::hypot(m[0], m[1], m[2]);
    if (length > most) {
      most = length;
      out = m;
    }
  }
  return out;
}

// Phase, in turns, at which a pulse of that duty explains most of a fold.
double best_phase(const Fold& fold, const Vector3& along, double duty) {
  const std::size_t bins = fold.mean_uT.size();
  const auto wide = std::clamp<std::size_t>(
      static_cast<std::size_t>(std::lround(duty * static_cast<double>(bins))), 1, bins - 1);
  double most = -1.0;
  std::size_t best = 0;
  for (std::size_t first = 0; first < bins; ++first) {
    double sum = 0.0;
    for (std::size_t i = 0; i < wide; ++i) {
      const Vector3& m = fold.mean_uT[(first + i) % bins];
      sum += m[0] * along[0] + m[1] * along[1] + m[2] * along[2];
    }
    if (sum > most) {
      most = sum;
      best = first;
    }
  }
  return static_cast<double>(best) / static_cast<double>(bins);
}

// Pieces in which something is known and nothing was being switched.
PulseStretch counted(const Stretch& stretch, const Series& series) {
  PulseStretch out;
  for (std::size_t k = 0; k < stretch.left_uT[0].size(); ++k) {
    if (!series.steady(stretch.first + k)) continue;
    out.piece.push_back(k);
    for (std::size_t a = 0; a < 3; ++a) out.reading[a].push_back(stretch.left_uT[a][k]);
  }
  return out;
}

// Calls visit(piece, from_s, to_s) with what each piece shares with [from_s, to_s].
template <class Visit>
void for_each_overlap(const Pieces& pieces, double from_s, double to_s, const Visit& visit) {
  for (std::size_t k = pieces.at(from_s); k <= pieces.at(to_s); ++k) {
    const double begins_s = pieces.from_s + static_cast<double>(k) * pieces.length_s;
    const double ends_s = pieces.from_s + static_cast<double>(k + 1) * pieces.length_s;
    const double a = std::max(from_s, begins_s);
    const double b = std::min(to_s, ends_s);
    if (b > a) visit(k, a, b);
  }
}

// The same pulses, only every second or third of them there: which one, each stretch tells.
Pulses slower_by(double times, const Pulses& found, const std::vector<PulseStretch>& stretches,
                 double piece_s, const Vector3& noise_uT2) {
  Pulses guess{times * found.period_s, found.duty / times, {}, {}, -1.0};
  for (std::size_t s = 0; s < stretches.size(); ++s) {
    Pulses best;
    for (double skipped = 0.0; skipped < times; skipped += 1.0) {
      Pulses one{
          guess.period_s, guess.duty, {found.start_s[s] + skipped * found.period_s}, {}, -1.0};
      one = fit_pulses({stretches[s]}, piece_s, std::move(one), noise_uT2);
      if (one.gain > best.gain) best = std::move(one);
    }
    if (best.start_s.empty()) return best;
    guess.start_s.push_back(best.start_s.front());
  }
  return fit_pulses(stretches, piece_s, std::move(guess), noise_uT2);
}

}  // namespace

std::optional<PulseTrain> fit_pulse_train(const Series& series,
                                          const std::vector<Stretch>& stretches,
                                          const Repeating& found, const Vector3& noise_uT2,
                                          bool pulses) {
  const double piece_s = series.fine.length_s;
  std::vector<PulseStretch> all;
  std::vector<std::size_t> which;
  double folded = 0.0, spent = 0.0;
  for (std::size_t s = 0; s < stretches.size(); ++s) {
    if (!found.folds[s].shows()) continue;
    all.push_back(counted(stretches[s], series));
    which.push_back(s);
    folded += found.folds[s].between;
    spent += 3.0 * static_cast<double>(found.folds[s].mean_uT.size());
  }
  if (all.empty()) return std::nullopt;
  const Vector3 along = widest_of(found.folds);
  Pulses best;
  for (const double part : {1.0, 0.5}) {
    Pulses guess{found.period_s, std::clamp(part * found.duty, 0.02, 0.98), {}, {}, -1.0};
    for (const std::size_t s : which) {
      guess.start_s.push_back(best_phase(found.folds[s], along, guess.duty) * found.period_s);
    }
    Pulses fitted = fit_pulses(all, piece_s, std::move(guess), noise_uT2);
    if (fitted.gain > best.gain) best = std::move(fitted);
  }
  // A visit that holds two or three pulses only shows them at a part of their period as well.
  std::size_t longest = 0;
  for (const Stretch& stretch : stretches) longest = std::max(longest, stretch.left_uT[0].size());
  const double slowest_s = static_cast<double>(longest) * piece_s / kLeastPulses;
  for (const double times : {2.0, 3.0}) {
    if (!pulses || times * best.period_s > slowest_s) break;
    Pulses slower = slower_by(times, best, all, piece_s, noise_uT2);
    if (slower.gain > 1.1 * best.gain + 30.0) best = std::move(slower);
  }
  // The folds have many more sizes to choose: what those explain by chance; and no pulse is quite a
  // rectangle.
  constexpr double kRounded = 0.03;
  if (best.gain < (1.0 - kRounded) * folded - 2.0 * spent) return std::nullopt;
  PulseTrain out{best, {}};
  out.pulse_s.resize(stretches.size());
  for (std::size_t i = 0; i < which.size(); ++i) {
    const double begins_s =
        series.fine.from_s + static_cast<double>(stretches[which[i]].first) * piece_s;
    out.pulse_s[which[i]] = begins_s + best.start_s[i];
  }
  return out;
}

std::optional<TrainExtent> extent_of(const PulseTrain& train, double pulse_s, const Pieces& fine,
                                     std::size_t first,
                                     const std::array<std::vector<double>, 3>& above_rest_uT,
                                     const Vector3& noise_uT2, double from_s, double to_s) {
  constexpr double kTold = 8.0;  // log likelihood ratio of one pulse against none, as expected
  const std::size_t n = above_rest_uT[0].size();
  const double begins_s = fine.from_s + static_cast<double>(first) * fine.length_s;
  // Log likelihood ratio that pulse number j is there, and how large it is seen, of 1.
  struct Seen {
    double log_ratio = 0.0, size = 1.0, expected = 0.0;
  };
  const auto look = [&](long long j) {
    const double at_s = pulse_s + static_cast<double>(j) * train.shape.period_s;
    Seen out;
    double with = 0.0;
    const double a = (at_s - begins_s) / fine.length_s;
    const double b = (at_s + train.shape.duty * train.shape.period_s - begins_s) / fine.length_s;
    for (auto k = static_cast<long long>(std::floor(a)); static_cast<double>(k) < b; ++k) {
      if (k < 0 || k >= static_cast<long long>(n)) return Seen{};
      const auto i = static_cast<std::size_t>(k);
      if (fine.count[first + i] <= 0.0) continue;
      const double share =
          std::min(b, static_cast<double>(k + 1)) - std::max(a, static_cast<double>(k));
      for (std::size_t axis = 0; axis < 3; ++axis) {
        const double model = share * train.shape.height[axis];
        with += model * above_rest_uT[axis][i] / noise_uT2[axis];
        out.expected += 0.5 * model * model / noise_uT2[axis];
      }
    }
    out.log_ratio = with - out.expected;
    out.size = out.expected > 0.0 ? 0.5 * with / out.expected : 1.0;
    return out;
  };
  const auto number = [&](double t) {
    return static_cast<long long>(std::floor((t - pulse_s) / train.shape.period_s));
  };
  const long long inner_first = number(from_s) + 1;
  const long long inner_last = std::max(inner_first, number(to_s) - 1);
  if (look(inner_first).expected < kTold) return std::nullopt;
  // Outwards while all that is added together is likelier there than not.
  const auto outwards = [&](long long start, long long step, long long most) {
    long long best = start - step;
    double sum = 0.0, top = 0.0;
    for (long long j = start, i = 0; i < most; ++i, j += step) {
      const Seen seen = look(j);
      if (seen.expected <= 0.0) break;
      sum += seen.log_ratio;
      if (sum > top) {
        top = sum;
        best = j;
      }
    }
    return best;
  };
  constexpr double kReach_s = 6.0;
  const auto most = static_cast<long long>(kReach_s / train.shape.period_s) + 2;
  const long long begin = outwards(inner_first - 1, -1, most);
  long long end = outwards(inner_last + 1, 1, most);
  // One that was cut short belongs to no whole period.
  double cut_short = 0.0;
  const Seen last = look(end);
  if (end > inner_last && last.expected > 0.0 &&
      last.size < 1.0 - 3.0 / std::sqrt(2.0 * last.expected)) {
    cut_short = last.size;
    --end;
  }
  return TrainExtent{pulse_s + static_cast<double>(begin) * train.shape.period_s,
                     static_cast<std::size_t>(end - begin + 1), cut_short};
}

void even_out(Pieces& pieces, const PulseTrain& train, const TrainExtent& extent) {
  const Pulses& pulses = train.shape;
  const auto take = [&](std::size_t k, double share) {
    for (std::size_t axis = 0; axis < 3; ++axis) {
      pieces.mean_uT[axis][k] -= share * pulses.height[axis];
    }
  };
  const double to_s = extent.from_s + static_cast<double>(extent.periods) * pulses.period_s;
  for_each_overlap(pieces, extent.from_s, to_s, [&](std::size_t k, double a, double b) {
    take(k, (pulses.share(a, b, extent.from_s) - pulses.duty) * (b - a) / pieces.length_s);
  });
  if (extent.cut_short <= 0.0) return;
  const double over_s = to_s + pulses.duty * pulses.period_s;
  for_each_overlap(pieces, to_s, over_s, [&](std::size_t k, double a, double b) {
    take(k, extent.cut_short * (b - a) / pieces.length_s);
  });
}

}  // namespace qn::disturbance
