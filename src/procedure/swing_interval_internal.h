// SPDX-License-Identifier: Apache-2.0
#pragma once

namespace qn {

/// The chance that a reading of scatter `sigma`, expected `left` below the number that was written
/// down, is rounded to it, as a logarithm with its first and second derivative by the expectation.
struct RoundedLikelihood {
  double log = 0.0;
  double first = 0.0;
  double second = 0.0;  ///< never positive
};

/// rounding  step; 0: a density
RoundedLikelihood rounded_likelihood(double left, double sigma, double rounding);

/// The chance itself, to 1e-9: for many at once.
double rounded_chance(double left, double sigma, double rounding);

/// Fisher information about the place of a reading, on the average over where it falls between two
/// steps: 1 / sigma^2 without rounding.
double rounded_information(double sigma, double rounding);

/// Half a two-sided 95 % band over its sigma, Student's law.
double student_95(double degrees_of_freedom);

}  // namespace qn
