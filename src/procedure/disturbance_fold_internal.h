// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <cstddef>
#include <map>
#include <optional>
#include <vector>

#include "estimation/periodogram.h"
#include "procedure/disturbance_solve_internal.h"

namespace qn::disturbance {

/// Power of the noise at rest by frequency, a value for each axis: the median over stretches in
/// which nothing was on, never below what the noise model says.
///
/// It also keeps what looking at many stretches in turn would make again each time: transforms and
/// the noise at their frequencies. So it is not for two threads.
class RestSpectrum {
 public:
  RestSpectrum(const Series& series, const MarkedRun& run, const std::vector<SwitchTime>& times,
               const std::array<std::vector<double>, 3>& fit_uT,
               const std::array<DriftNoise, 3>& noise);
  /// White noise of variance v in pieces of d seconds has v d (uT^2 / Hz).
  double density(std::size_t axis, double frequency_Hz) const;

  /// For series of up to `padded` fine pieces.
  struct Bins {
    explicit Bins(std::size_t padded) : transform{padded} {}
    PowerSpectrum transform;
    /// 1 / (power that noise alone has, a piece that counts), of each frequency.
    std::array<std::vector<float>, 3> per_power;
  };
  const Bins& bins(std::size_t padded) const;

 private:
  double bin_Hz_ = 1.0;
  std::array<std::vector<double>, 3> seen_;
  std::array<DriftNoise, 3> noise_;
  double block_s_ = 1.0;
  double fine_s_ = 0.05;
  mutable std::map<std::size_t, Bins> bins_;
};

/// Where a value a block is read: that of block `below` and of the next, by `share` of the way.
struct BetweenBlocks {
  std::size_t below = 0, next = 0;
  double share = 0.0;
  double of(const std::vector<double>& values) const {
    return values[below] + share * (values[next] - values[below]);
  }
};
/// at      blocks from the middle of the first; beyond the ends the last value stands
/// blocks  above 0
BetweenBlocks between_blocks(double at, std::size_t blocks);

/// What the fit leaves of a stretch of the log, evenly spaced, mean and slope taken out; zero where
/// nothing is known or something was being switched.
struct Stretch {
  std::size_t first = 0;  ///< fine piece
  std::array<std::vector<double>, 3> left_uT;
  double used = 0.0;  ///< pieces that count
};
Stretch stretch_of(const Series& series, const std::array<std::vector<double>, 3>& fit_uT,
                   double from_s, double to_s);

/// A stretch laid over itself period by period: the mean at each phase, over the period zero.
struct Fold {
  std::vector<Vector3> mean_uT;
  std::vector<double> count;
  double between = 0.0;  ///< sum of squares the phases explain, over the noise

  std::size_t bin_of(double turns) const;  ///< the phase that many periods after phase zero
  bool shows() const;                      ///< more between the phases than noise leaves there
};

/// Variance of a fine piece at rest, by the spectrum at 1 Hz, on each axis.
Vector3 sample_variance(const Series& series, const RestSpectrum& rest);

/// A shape that repeats.
struct Repeating {
  double period_s = 0.0;
  double duty = 0.0;            ///< share of the period in its high part
  Vector3 high_uT{}, low_uT{};  ///< of the two parts, against the mean over the period
  double deviate = 0.0;         ///< how far beyond chance, standard normal
  bool short_pulses = false;    ///< under two samples
  std::vector<double> alias_periods_s;
  std::vector<Fold> folds;  ///< of each stretch, phase 0 at its first piece
};

/// The period that the stretches share (each at its own phase), or nothing when chance, or the
/// flicker of a coarse sensor, explains what is seen.
///
/// slowest_Hz      a period must come round often enough to be told from a bump
/// deviate         how far beyond chance it must be, standard normal
/// least_swing_uT  what moves by less than half of that on every axis is not looked at closely
std::optional<Repeating> find_period(const Series& series, const RestSpectrum& rest,
                                     const std::vector<Stretch>& stretches, double slowest_Hz,
                                     double deviate, const Vector3& least_swing_uT = {});

/// Takes a repeating shape out of pieces [first, first + count); its mean stays.
void take_out(Pieces& pieces, std::size_t first, std::size_t count, double start_s,
              const Fold& fold, double period_s);

}  // namespace qn::disturbance
