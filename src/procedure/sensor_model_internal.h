// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <cstddef>
#include <vector>

#include "estimation/noise_model.h"
#include "estimation/normal_equations.h"
#include "estimation/row_block.h"
#include "vocab/field_vector.h"

// The measurement model of the sensor fit, docs/math/sensor-fit.md. Inside it everything is in
// nominal microtesla and nominal body axes (mounting and scale taken out), angles in radians.
//   x = M m - b    corrected field; m reading, M matrix, b offset after correction
// It is linear in (M, b), and so is what a level turn leaves open: a coupling of the vertical
// field into x or y is exactly made up by b. With (M, h = M^-1 b) it would not be.
namespace qn::sensor_model {

/// How the attitude of a sample is known.
enum class Attitude {
  unknown,  ///< only the size of the field counts
  level,    ///< stands level but for the ground's slope and the aircraft's own tilt
  logged,   ///< roll and pitch columns (or gravity)
};

/// Which of the numbers are solved, and where each stands in the parameter vector (-1: not).
struct Layout {
  std::array<std::array<int, 3>, 3> matrix{};  ///< entries that must be equal share an index
  int offset = 0;                              ///< b, three in a row
  int horizontal = 0;                          ///< H
  int down = 0;                                ///< Z
  int slope = -1;                              ///< rise of the ground toward north, then east
  int deck = -1;                               ///< roll, then pitch that turn with the aircraft
  int north = -1;                              ///< common error of all known headings
  std::size_t size = 0;

  enum class Symmetry { full, horizontal, all };
  static Layout make(Symmetry symmetry, bool level, bool tilt, bool headings);
};

using Parameters = std::vector<double>;

Matrix3 matrix_of(const Layout& layout, const Parameters& theta);
Vector3 offset_of(const Layout& layout, const Parameters& theta);

/// The recording as the model takes it: one array per axis, gaps left as they are.
struct Log {
  std::vector<double> time_s;
  std::array<std::vector<double>, 3> m;     ///< nominal microtesla, nominal body axes
  std::vector<double> roll_rad, pitch_rad;  ///< only for Attitude::logged; NaN where unknown
  std::vector<unsigned char> use;           ///< 0: rejected
  Attitude attitude = Attitude::unknown;
  double attitude_variance = 0.0;  ///< logged only: what it adds to a dip row, uT^2

  std::size_t size() const { return time_s.size(); }
};

/// Rows of samples [begin, end) taken every `stride`, not whitened, in microtesla of the reading.
/// size_rows  |x| - F over the size of its gradient: the distance to the ellipsoid
/// dip_rows   turn of x in the vertical plane times F, likewise (no rows with Attitude::unknown)
struct Rows {
  RowBlock size_rows;
  RowBlock dip_rows;
};
void fill_rows(const Log& log, const Layout& layout, const Parameters& theta, double variance,
               std::size_t begin, std::size_t end, std::size_t stride, Rows& rows);

/// The aircraft's nose is known to have pointed along a heading while the mean reading was `m`.
struct HeadingFix {
  Vector3 m{};
  double heading_rad = 0.0;
  double roll_rad = 0.0, pitch_rad = 0.0;  ///< logged; 0 for level
  double variance_m = 0.0;                 ///< of each axis of m
};

/// Fitted minus known heading, radians, common north error taken out.
double heading_residual_rad(const HeadingFix& fix, const Layout& layout, const Parameters& theta,
                            Attitude attitude);

/// Magnetic heading of the corrected field x at a known roll and pitch.
double heading_of_rad(const Vector3& x, double roll_rad, double pitch_rad);

/// Earth's field (H north, Z down) in body axes at heading, roll, pitch.
Vector3 earth_in_body(double horizontal, double down, double heading_rad, double roll_rad,
                      double pitch_rad);

}  // namespace qn::sensor_model
