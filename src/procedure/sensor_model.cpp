// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <numbers>

#include "procedure/levelling.h"
#include "procedure/sensor_model_internal.h"
#include "procedure/sensor_size_rows_internal.h"

namespace qn::sensor_model {
namespace {

double dot(const Vector3& a, const Vector3& b) { return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]; }

// Columns of a block by parameter; several matrix entries may share one.
struct Columns {
  explicit Columns(RowBlock& block) : block_{block} {}
  double& at(int parameter, std::size_t k) {
    return block_.column(static_cast<std::size_t>(parameter))[k];
  }
  RowBlock& block_;
};

void clear(RowBlock& block) { std::fill(block.columns.begin(), block.columns.end(), 0.0); }

// Adds d(residual)/d(M_ij) = gradient_i m_j and d/d(b_i) = -gradient_i.
void add_linear_part(Columns& columns, const Layout& layout, const Vector3& gradient,
                     const Vector3& m, std::size_t k) {
  for (std::size_t i = 0; i < 3; ++i) {
    for (std::size_t j = 0; j < 3; ++j) columns.at(layout.matrix[i][j], k) += gradient[i] * m[j];
    columns.at(layout.offset + static_cast<int>(i), k) -= gradient[i];
  }
}

// Attitude of one sample against the ground it stands on, or against level when logged.
struct Tilt {
  double roll = 0.0, pitch = 0.0;
};

Tilt tilt_at(const Log& log, const Layout& layout, const Parameters& theta, std::size_t sample) {
  Tilt t;
  if (log.attitude == Attitude::logged) {
    t.roll = log.roll_rad[sample];
    t.pitch = log.pitch_rad[sample];
  }
  if (layout.deck >= 0) {
    t.roll += theta[static_cast<std::size_t>(layout.deck)];
    t.pitch += theta[static_cast<std::size_t>(layout.deck) + 1];
  }
  return t;
}

// The Earth's field seen from the ground the aircraft turns on. A slope is fixed to the Earth, so
// that it looks like another horizontal and down field, and a constant turn of north. (Treating it
// as a tilt that changes with each sample's own heading would let that heading's noise in.)
struct GroundField {
  double H, Z;  // in the plane of the ground and across it
  double H_by_north = 0.0, H_by_east = 0.0;
  GroundField(const Layout& layout, const Parameters& theta)
      : H{theta[static_cast<std::size_t>(layout.horizontal)]},
        Z{theta[static_cast<std::size_t>(layout.down)]} {
    if (layout.slope < 0) return;
    const double north = theta[static_cast<std::size_t>(layout.slope)];
    const double east = theta[static_cast<std::size_t>(layout.slope) + 1];
    const double ahead = H - Z * north;  // ground rising north: nose up heading north
    const double aside = Z * east;
    const double along = std::max(std::hypot(ahead, aside), 1e-6);
    H_by_north = -Z * ahead / along;
    H_by_east = Z * aside / along;
    Z += H * north;
    H = along;
  }
};

Vector3 down_in_body(const Tilt& t) {
  return {-std::sin(t.pitch), std::sin(t.roll) * std::cos(t.pitch),
          std::cos(t.roll) * std::cos(t.pitch)};
}

Vector3 scaled(const Vector3& v, double factor) {
  return {v[0] * factor, v[1] * factor, v[2] * factor};
}

// d turned in the plane of d and x so that x dips less by a small angle.
Vector3 down_turned(const Vector3& d, const Vector3& x, double angle) {
  const double v = dot(d, x);
  Vector3 out{};
  double l = 0.0;
  for (std::size_t i = 0; i < 3; ++i) l += (x[i] - v * d[i]) * (x[i] - v * d[i]);
  l = std::max(std::sqrt(l), 1e-6);
  for (std::size_t i = 0; i < 3; ++i) {
    out[i] = std::cos(angle) * d[i] - std::sin(angle) * (x[i] - v * d[i]) / l;
  }
  return out;
}

// The two surfaces a perfect reading lies on, |x| = F and the dip of x = the Earth's dip, seen from
// a reading: how far away, in units of the reading, and which way.
struct Normals {
  double size_residual = 0.0;   // over its gradient's length
  double size_steepness = 1.0;  // that length
  Vector3 size_by_x{};          // gradient by the corrected field
  Vector3 along_size{};         // unit, in reading space
  double dip_residual = 0.0;    // what is left of it across along_size, likewise
  double dip_steepness = 1.0;
  double size_share = 0.0;  // how much of the size row the dip row contains
  Vector3 dip_by_x{};
  Vector3 along_dip{};
};

class Surfaces {
 public:
  Surfaces(const Layout& layout, const Parameters& theta, const GroundField& ground,
           double variance)
      : H{ground.H},
        Z{ground.Z},
        F{std::hypot(theta[static_cast<std::size_t>(layout.horizontal)],
                     theta[static_cast<std::size_t>(layout.down)])},
        M_{matrix_of(layout, theta)},
        b_{offset_of(layout, theta)},
        variance_{variance} {
    for (const Vector3& row : M_) trace_ += dot(row, row);
  }

  Vector3 corrected(const Vector3& m) const {
    return {dot(M_[0], m) - b_[0], dot(M_[1], m) - b_[1], dot(M_[2], m) - b_[2]};
  }

  Normals normals(const Vector3& m, bool with_dip, const Vector3& d) const {
    Normals out;
    const Vector3 x = corrected(m);
    const double size = std::max(std::sqrt(dot(x, x)), 1e-9);
    out.size_by_x = scaled(x, 1.0 / size);
    const Vector3 g = to_reading(out.size_by_x);
    out.size_steepness = std::sqrt(dot(g, g));
    out.along_size = scaled(g, 1.0 / out.size_steepness);
    // Curvature: noise across the field makes |x| too long on average.
    const double bias = variance_ * (trace_ - out.size_steepness * out.size_steepness) / (2.0 * F);
    const double size_misfit = size - bias - F;
    out.size_residual = size_misfit / out.size_steepness;
    if (!with_dip) return out;
    const double v = dot(d, x);
    const double l = std::max(std::sqrt(std::max(size * size - v * v, 0.0)), 1e-6);
    for (std::size_t i = 0; i < 3; ++i) {
      out.dip_by_x[i] = (H * d[i] - Z * (x[i] - v * d[i]) / l) / F;
    }
    const double dip_bias = -Z * variance_ / (2.0 * F * std::max(H, 1.0));
    const Vector3 gd = to_reading(out.dip_by_x);
    out.size_share = dot(gd, g) / (out.size_steepness * out.size_steepness);
    Vector3 across{};
    for (std::size_t j = 0; j < 3; ++j) across[j] = gd[j] - out.size_share * g[j];
    out.dip_steepness = std::max(std::sqrt(dot(across, across)), 1e-9);
    out.along_dip = scaled(across, 1.0 / out.dip_steepness);
    out.dip_residual =
        ((v * H - l * Z) / F - dip_bias - out.size_share * size_misfit) / out.dip_steepness;
    return out;
  }

  const double H, Z, F;

 private:
  Vector3 to_reading(const Vector3& by_x) const {  // M' by_x
    Vector3 out{};
    for (std::size_t j = 0; j < 3; ++j) {
      out[j] = by_x[0] * M_[0][j] + by_x[1] * M_[1][j] + by_x[2] * M_[2][j];
    }
    return out;
  }
  Matrix3 M_;
  Vector3 b_;
  double variance_;
  double trace_ = 0.0;
};

}  // namespace

Layout Layout::make(Symmetry symmetry, bool level, bool tilt, bool headings) {
  Layout out;
  int next = 0;
  for (std::size_t i = 0; i < 3; ++i) {
    for (std::size_t j = 0; j < 3; ++j) {
      const bool shared =
          i > j && (symmetry == Symmetry::all || (symmetry == Symmetry::horizontal && i == 1));
      out.matrix[i][j] = shared ? out.matrix[j][i] : next++;
    }
  }
  const auto take = [&next](int count) {
    const int first = next;
    next += count;
    return first;
  };
  out.offset = take(3);
  out.horizontal = take(1);
  out.down = take(1);
  if (level) out.slope = take(2);
  if (tilt) out.deck = take(2);
  if (headings) out.north = take(1);
  out.size = static_cast<std::size_t>(next);
  return out;
}

Matrix3 matrix_of(const Layout& layout, const Parameters& theta) {
  Matrix3 out{};
  for (std::size_t i = 0; i < 3; ++i) {
    for (std::size_t j = 0; j < 3; ++j) {
      out[i][j] = theta[static_cast<std::size_t>(layout.matrix[i][j])];
    }
  }
  return out;
}

Vector3 offset_of(const Layout& layout, const Parameters& theta) {
  const auto o = static_cast<std::size_t>(layout.offset);
  return {theta[o], theta[o + 1], theta[o + 2]};
}

void fill_rows(const Log& log, const Layout& layout, const Parameters& theta, double variance,
               std::size_t begin, std::size_t end, std::size_t stride, Rows& rows) {
  const std::size_t n = (end - begin + stride - 1) / stride;
  const bool with_dip = log.attitude != Attitude::unknown;
  rows.size_rows.resize(n, layout.size);
  rows.dip_rows.resize(with_dip ? n : 0, layout.size);
  if (!with_dip) return fill_size_rows(log, layout, theta, variance, begin, stride, rows.size_rows);
  clear(rows.size_rows);
  clear(rows.dip_rows);
  Columns size_columns{rows.size_rows};
  Columns dip_columns{rows.dip_rows};
  const GroundField ground{layout, theta};
  const Surfaces surfaces{layout, theta, ground, variance};
  const double true_H = theta[static_cast<std::size_t>(layout.horizontal)];
  const double true_Z = theta[static_cast<std::size_t>(layout.down)];
  Vector3 last_size{};
  Vector3 last_dip{};

  for (std::size_t k = 0; k < n; ++k) {
    const std::size_t s = begin + k * stride;
    const Vector3 m{log.m[0][s], log.m[1][s], log.m[2][s]};
    Tilt tilt;
    if (with_dip) tilt = tilt_at(log, layout, theta, s);
    const bool known = with_dip && std::isfinite(tilt.roll) && std::isfinite(tilt.pitch);
    const Vector3 d = known ? down_in_body(tilt) : Vector3{};

    // Foot of the perpendicular from the reading to where a perfect reading could lie, in the
    // reading's own space, where the noise is alike in all directions. Derivatives are taken at the
    // foot: its noise is across the residual, so that it cannot pull the answer (with derivatives
    // at the reading, or frozen weights, shrinking M would seem to pay: the noise shrinks with it).
    const Normals first = surfaces.normals(m, known, d);
    // A logged attitude has its own error, not in the reading: its part of the dip residual turns
    // the vertical instead, in the plane of the field, and does not grow with M.
    const double reading_part = variance * first.dip_steepness * first.dip_steepness;
    const double dip_share =
        log.attitude_variance > 0.0 ? reading_part / (reading_part + log.attitude_variance) : 1.0;
    Vector3 foot = m;
    for (std::size_t j = 0; j < 3; ++j) {
      foot[j] -= first.size_residual * first.along_size[j] +
                 dip_share * first.dip_residual * first.along_dip[j];
    }
    const double turned = (1.0 - dip_share) * first.dip_residual * first.dip_steepness;
    const Vector3 d_foot =
        known && turned != 0.0 ? down_turned(d, surfaces.corrected(m), turned / surfaces.F) : d;
    const Normals at = surfaces.normals(foot, known, d_foot);
    Vector3 moved{};
    for (std::size_t j = 0; j < 3; ++j) moved[j] = m[j] - foot[j];

    rows.size_rows.residual()[k] = at.size_residual + dot(at.along_size, moved);
    rows.size_rows.time_s[k] = log.time_s[s];
    rows.size_rows.use[k] = log.use[s];
    rows.size_rows.turn[k] = k > 0 ? std::clamp(dot(at.along_size, last_size), 0.0, 1.0) : 1.0;
    last_size = at.along_size;
    add_linear_part(size_columns, layout, scaled(at.size_by_x, 1.0 / at.size_steepness), foot, k);
    size_columns.at(layout.horizontal, k) = -true_H / surfaces.F / at.size_steepness;
    size_columns.at(layout.down, k) = -true_Z / surfaces.F / at.size_steepness;
    if (!with_dip) continue;

    rows.dip_rows.time_s[k] = log.time_s[s];
    rows.dip_rows.use[k] = static_cast<unsigned char>(known && log.use[s]);
    if (!known) continue;
    // With an attitude error in it the row stays in units of the corrected field: divided by its
    // steepness, a larger M would seem to pay, because the attitude's error does not grow with it.
    const double weight = log.attitude_variance > 0.0 ? at.dip_steepness : 1.0;
    rows.dip_rows.residual()[k] = weight * (at.dip_residual + dot(at.along_dip, moved)) + turned;
    rows.dip_rows.turn[k] = k > 0 ? std::clamp(dot(at.along_dip, last_dip), 0.0, 1.0) : 1.0;
    last_dip = at.along_dip;
    // The dip row is what the size row has not said already (Gram-Schmidt).
    const double share = at.size_share;
    const double scale = weight / at.dip_steepness;
    Vector3 by_x{};
    for (std::size_t i = 0; i < 3; ++i) {
      by_x[i] = (at.dip_by_x[i] - share * at.size_by_x[i]) * scale;
    }
    add_linear_part(dip_columns, layout, by_x, foot, k);
    const double H = surfaces.H;
    const double Z = surfaces.Z;
    const double F = surfaces.F;
    const double size_part = share / F;
    dip_columns.at(layout.horizontal, k) = (Z / F + size_part * true_H) * scale;
    dip_columns.at(layout.down, k) = (-H / F + size_part * true_Z) * scale;
    const Vector3 x = surfaces.corrected(foot);
    // v moves by -(forward) per pitch and +(right) per roll; l follows so that |x| stays.
    const double v = dot(d_foot, x);
    const double l = std::max(std::sqrt(std::max(dot(x, x) - v * v, 0.0)), 1e-6);
    const double by_v = (H + Z * v / l) / F * scale;
    const double by_pitch =
        -by_v * (x[0] * std::cos(tilt.pitch) +
                 std::sin(tilt.pitch) * (std::sin(tilt.roll) * x[1] + std::cos(tilt.roll) * x[2]));
    const double by_roll =
        by_v * std::cos(tilt.pitch) * (std::cos(tilt.roll) * x[1] - std::sin(tilt.roll) * x[2]);
    if (layout.slope >= 0) {
      dip_columns.at(layout.slope, k) = (v * ground.H_by_north - l * true_H) / F * scale;
      dip_columns.at(layout.slope + 1, k) = v * ground.H_by_east / F * scale;
    }
    if (layout.deck >= 0) {
      dip_columns.at(layout.deck, k) = by_roll;
      dip_columns.at(layout.deck + 1, k) = by_pitch;
    }
  }
}

double heading_of_rad(const Vector3& x, double roll, double pitch) {
  const Vector3 level = levelled(x, {roll, pitch});
  return std::atan2(-level[1], level[0]);
}

Vector3 earth_in_body(double H, double Z, double heading, double roll, double pitch) {
  return leaned({H * std::cos(heading), -H * std::sin(heading), Z}, {roll, pitch});
}

double heading_residual_rad(const HeadingFix& fix, const Layout& layout, const Parameters& theta,
                            Attitude attitude) {
  const Matrix3 M = matrix_of(layout, theta);
  const Vector3 b = offset_of(layout, theta);
  const Vector3 x{dot(M[0], fix.m) - b[0], dot(M[1], fix.m) - b[1], dot(M[2], fix.m) - b[2]};
  double roll = fix.roll_rad;
  double pitch = fix.pitch_rad;
  if (attitude != Attitude::logged && layout.slope >= 0) {
    const double north = theta[static_cast<std::size_t>(layout.slope)];
    const double east = theta[static_cast<std::size_t>(layout.slope) + 1];
    pitch += north * std::cos(fix.heading_rad) + east * std::sin(fix.heading_rad);
    roll += north * std::sin(fix.heading_rad) - east * std::cos(fix.heading_rad);
  }
  if (layout.deck >= 0) {
    roll += theta[static_cast<std::size_t>(layout.deck)];
    pitch += theta[static_cast<std::size_t>(layout.deck) + 1];
  }
  double residual = heading_of_rad(x, roll, pitch) - fix.heading_rad;
  if (layout.north >= 0) residual -= theta[static_cast<std::size_t>(layout.north)];
  return std::remainder(residual, 2.0 * std::numbers::pi);
}

}  // namespace qn::sensor_model
