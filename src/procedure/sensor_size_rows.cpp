// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>

#include "procedure/sensor_size_rows_internal.h"

namespace qn::sensor_model {
namespace {

// Samples worked on together; all that is known of them stays in the nearest cache.
constexpr std::size_t kTile = 128;
using Lane = std::array<double, kTile>;
using Lanes = std::array<Lane, 3>;

// The surface |M m - b| = F, seen from readings: how far away, in units of the reading, and which
// way. Square roots stand in loops of their own: they may set errno, which keeps a loop from being
// done with vector instructions.
struct Surface {
  Matrix3 M;
  Vector3 b;
  double F, trace, half_variance_by_F;
};

struct Seen {
  Lanes by_x;   // gradient by the corrected field, over its length
  Lanes along;  // unit, in reading space
  Lane distance, one_over_steep;
};

void take_roots(Lane& values, std::size_t count) {
  for (std::size_t k = 0; k < count; ++k) values[k] = std::sqrt(values[k]);
}

void look(const Surface& surface, const Lanes& at, std::size_t count, Seen& seen) {
  const Matrix3& M = surface.M;
  const Vector3& b = surface.b;
  Lanes x;
  Lane size;
  for (std::size_t k = 0; k < count; ++k) {
    const double x0 = M[0][0] * at[0][k] + M[0][1] * at[1][k] + M[0][2] * at[2][k] - b[0];
    const double x1 = M[1][0] * at[0][k] + M[1][1] * at[1][k] + M[1][2] * at[2][k] - b[1];
    const double x2 = M[2][0] * at[0][k] + M[2][1] * at[1][k] + M[2][2] * at[2][k] - b[2];
    x[0][k] = x0;
    x[1][k] = x1;
    x[2][k] = x2;
    // The tiny term keeps a reading at the very centre finite, without a branch.
    size[k] = x0 * x0 + x1 * x1 + x2 * x2 + 1e-18;
  }
  take_roots(size, count);
  Lanes gradient;
  Lane squared, steep;
  for (std::size_t k = 0; k < count; ++k) {
    const double one_over_size = 1.0 / size[k];
    const double u0 = x[0][k] * one_over_size;
    const double u1 = x[1][k] * one_over_size;
    const double u2 = x[2][k] * one_over_size;
    const double g0 = u0 * M[0][0] + u1 * M[1][0] + u2 * M[2][0];
    const double g1 = u0 * M[0][1] + u1 * M[1][1] + u2 * M[2][1];
    const double g2 = u0 * M[0][2] + u1 * M[1][2] + u2 * M[2][2];
    x[0][k] = u0;
    x[1][k] = u1;
    x[2][k] = u2;
    gradient[0][k] = g0;
    gradient[1][k] = g1;
    gradient[2][k] = g2;
    squared[k] = steep[k] = g0 * g0 + g1 * g1 + g2 * g2;
  }
  take_roots(steep, count);
  for (std::size_t k = 0; k < count; ++k) {
    const double shrink = 1.0 / steep[k];
    // Curvature: noise across the field makes |x| too long on average.
    const double bias = surface.half_variance_by_F * (surface.trace - squared[k]);
    seen.distance[k] = (size[k] - bias - surface.F) * shrink;
    seen.one_over_steep[k] = shrink;
    seen.by_x[0][k] = x[0][k] * shrink;
    seen.by_x[1][k] = x[1][k] * shrink;
    seen.by_x[2][k] = x[2][k] * shrink;
    seen.along[0][k] = gradient[0][k] * shrink;
    seen.along[1][k] = gradient[1][k] * shrink;
    seen.along[2][k] = gradient[2][k] * shrink;
  }
}

struct Tile {
  Lanes m, foot;
  Lane residual;
  Seen seen;
};

// As in fill_rows: residual and derivatives at the foot of the perpendicular.
void look_at_foot(const Surface& surface, std::size_t count, Tile& tile) {
  look(surface, tile.m, count, tile.seen);
  for (std::size_t i = 0; i < 3; ++i) {
    for (std::size_t k = 0; k < count; ++k) {
      tile.foot[i][k] = tile.m[i][k] - tile.seen.distance[k] * tile.seen.along[i][k];
    }
  }
  look(surface, tile.foot, count, tile.seen);
  for (std::size_t k = 0; k < count; ++k) {
    tile.residual[k] =
        tile.seen.distance[k] + (tile.seen.along[0][k] * (tile.m[0][k] - tile.foot[0][k]) +
                                 tile.seen.along[1][k] * (tile.m[1][k] - tile.foot[1][k]) +
                                 tile.seen.along[2][k] * (tile.m[2][k] - tile.foot[2][k]));
  }
}

void write_columns(const Tile& tile, const Layout& layout, double F_by_H, double F_by_Z,
                   std::size_t first, std::size_t count, RowBlock& rows) {
  const auto column = [&](int parameter) {
    return rows.column(static_cast<std::size_t>(parameter)) + first;
  };
  for (std::size_t i = 0; i < 3; ++i) {
    const Lane& g = tile.seen.by_x[i];
    for (std::size_t j = 0; j < 3; ++j) {
      const Lane& f = tile.foot[j];
      double* const out = column(layout.matrix[i][j]);
      if (i > j && layout.matrix[i][j] == layout.matrix[j][i]) {
        for (std::size_t k = 0; k < count; ++k) out[k] += g[k] * f[k];
      } else {
        for (std::size_t k = 0; k < count; ++k) out[k] = g[k] * f[k];
      }
    }
    double* const by_offset = column(layout.offset + static_cast<int>(i));
    for (std::size_t k = 0; k < count; ++k) by_offset[k] = -g[k];
  }
  double* const by_H = column(layout.horizontal);
  double* const by_Z = column(layout.down);
  for (std::size_t k = 0; k < count; ++k) {
    by_H[k] = -F_by_H * tile.seen.one_over_steep[k];
    by_Z[k] = -F_by_Z * tile.seen.one_over_steep[k];
  }
}

}  // namespace

void fill_size_rows(const Log& log, const Layout& layout, const Parameters& theta, double variance,
                    std::size_t begin, std::size_t stride, RowBlock& rows) {
  const double H = theta[static_cast<std::size_t>(layout.horizontal)];
  const double Z = theta[static_cast<std::size_t>(layout.down)];
  Surface surface{matrix_of(layout, theta), offset_of(layout, theta), std::hypot(H, Z), 0.0, 0.0};
  for (const Vector3& row : surface.M) {
    surface.trace += row[0] * row[0] + row[1] * row[1] + row[2] * row[2];
  }
  surface.half_variance_by_F = variance / (2.0 * surface.F);

  // What the size of the field says nothing about; H and Z come last of the others.
  std::fill(rows.column(static_cast<std::size_t>(layout.down) + 1), rows.residual(), 0.0);
  Tile tile;
  Vector3 last{};
  for (std::size_t first = 0; first < rows.rows; first += kTile) {
    const std::size_t count = std::min(kTile, rows.rows - first);
    for (std::size_t k = 0; k < count; ++k) {
      const std::size_t s = begin + (first + k) * stride;
      for (std::size_t i = 0; i < 3; ++i) tile.m[i][k] = log.m[i][s];
      rows.time_s[first + k] = log.time_s[s];
      rows.use[first + k] = log.use[s];
    }
    look_at_foot(surface, count, tile);
    std::copy_n(tile.residual.begin(), count, rows.residual() + first);
    write_columns(tile, layout, H / surface.F, Z / surface.F, first, count, rows);
    const auto turn = [&](std::size_t k, double x, double y, double z) {
      const double same =
          tile.seen.along[0][k] * x + tile.seen.along[1][k] * y + tile.seen.along[2][k] * z;
      rows.turn[first + k] = std::clamp(same, 0.0, 1.0);
    };
    turn(0, last[0], last[1], last[2]);
    for (std::size_t k = 1; k < count; ++k) {
      turn(k, tile.seen.along[0][k - 1], tile.seen.along[1][k - 1], tile.seen.along[2][k - 1]);
    }
    for (std::size_t i = 0; i < 3; ++i) last[i] = tile.seen.along[i][count - 1];
  }
  if (rows.rows > 0) rows.turn[0] = 1.0;  // no row before it
}

}  // namespace qn::sensor_model
