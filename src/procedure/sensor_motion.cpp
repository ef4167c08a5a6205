// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>

#include "estimation/gaussian_draws.h"
#include "estimation/principal_axes.h"
#include "procedure/sensor_motion_internal.h"

namespace qn::sensor_model {
namespace {

using Points = std::vector<std::array<double, 3>>;

constexpr std::size_t kMost = 20000;
constexpr double kFlat = 0.10;  // thickness of a level turn: 0 to 0.06; of a tumble: 0.16 and more

// Middle of five neighbours, axis by axis: single spikes vanish, turns do not.
Points without_spikes(const std::array<std::vector<double>, 3>& m) {
  const std::size_t n = m[0].size();
  const std::size_t stride = std::max<std::size_t>(1, n / kMost);
  Points out;
  for (std::size_t k = 0; k < n; k += stride) {
    std::array<double, 3> p{};
    for (std::size_t i = 0; i < 3; ++i) {
      const std::size_t from = k >= 2 ? k - 2 : 0;
      const std::size_t to = std::min(k + 3, n);
      std::array<double, 5> near{};
      std::copy(m[i].begin() + static_cast<std::ptrdiff_t>(from),
                m[i].begin() + static_cast<std::ptrdiff_t>(to), near.begin());
      const auto count = static_cast<std::ptrdiff_t>(to - from);
      std::nth_element(near.begin(), near.begin() + count / 2, near.begin() + count);
      p[i] = near[static_cast<std::size_t>(count / 2)];
    }
    out.push_back(p);
  }
  return out;
}

double distance(const std::array<double, 3>& a, const std::array<double, 3>& b) {
  return std::hypot(a[0] - b[0], a[1] - b[1], a[2] - b[2]);
}

// Waiting counts once: a point is kept when it has moved far enough from the last one kept.
Points moved_points(const Points& points, double step) {
  Points out{points.front()};
  for (const auto& p : points) {
    if (distance(p, out.back()) >= step) out.push_back(p);
  }
  return out;
}

double along(const std::array<double, 3>& p, const PrincipalAxes& plane) {
  double d = 0.0;
  for (std::size_t i = 0; i < 3; ++i) d += (p[i] - plane.centre[i]) * plane.axes[2][i];
  return std::abs(d);
}

// The plane most points lie near; a quarter may lie anywhere.
PrincipalAxes best_plane(const Points& points) {
  std::vector<unsigned char> keep(points.size(), 1);
  PrincipalAxes plane = principal_axes(points, keep);
  for (int round = 0; round < 8; ++round) {
    std::vector<double> d;
    for (const auto& p : points) d.push_back(along(p, plane));
    std::vector<double> sorted = d;
    const double cut = quantile(sorted, 0.75);
    for (std::size_t i = 0; i < points.size(); ++i) keep[i] = d[i] <= cut;
    plane = principal_axes(points, keep);
  }
  return plane;
}

// Distance from the middle of the cloud that three quarters of the points stay within.
double reach_of(const Points& points) {
  std::array<double, 3> middle{};
  for (std::size_t i = 0; i < 3; ++i) {
    std::vector<double> v;
    for (const auto& p : points) v.push_back(p[i]);
    middle[i] = quantile(v, 0.5);
  }
  std::vector<double> d;
  for (const auto& p : points) d.push_back(distance(p, middle));
  return quantile(d, 0.75);
}

}  // namespace

Spread describe_spread(const std::array<std::vector<double>, 3>& m, double nominal_field,
                       Motion asked) {
  Spread out;
  const Points points = without_spikes(m);
  // The reach of the time series starts the step; waiting may hide a turn in it, so look at the
  // whole range as well.
  const PrincipalAxes all = principal_axes(points);
  double range = std::max(reach_of(points), all.spread[0]);
  if (nominal_field > 0.0) range = std::max(range, 0.1 * nominal_field);
  const Points moved = moved_points(points, range / 20.0);
  const double reach = moved.size() > 1 ? reach_of(moved) : 0.0;
  out.centre = all.centre;
  const bool still = nominal_field > 0.0 ? reach < 0.1 * nominal_field : moved.size() < 12;
  if (still) return out;

  const PrincipalAxes plane = best_plane(moved);
  out.normal = plane.axes[2];
  std::vector<double> off;
  for (const auto& p : moved) off.push_back(along(p, plane));
  const double in_plane = std::hypot(plane.spread[0], plane.spread[1]);
  // Three quarters near the plane make a level turn: the rest may be steel carried past. Who says
  // that the sensor was tumbled is believed when a fifth is off the plane: a tumble may dwell on
  // it.
  const double inner = 1.4826 * quantile(off, 0.5);
  const double outer = quantile(off, 0.8) / 1.2816;
  out.thickness =
      (asked == Motion::tumble ? std::max(inner, outer) : inner) / std::max(in_plane, 1e-12);
  if (out.thickness >= kFlat) {
    const RoundFit sphere = fit_round(points, 3);
    out.centre = sphere.centre;
    out.radius = sphere.radius;
    out.kind = sphere.radius > 0.0 ? Spread::Kind::tumble : Spread::Kind::short_arc;
    return out;
  }
  const RoundFit circle = fit_round(points, 2);
  out.centre = circle.centre;
  out.radius = circle.radius;
  const bool bends = circle.radius > 0.0 && plane.spread[1] > 0.12 * plane.spread[0] &&
                     circle.radius < 20.0 * reach;
  out.kind = bends ? Spread::Kind::level_turn : Spread::Kind::short_arc;
  return out;
}

}  // namespace qn::sensor_model
