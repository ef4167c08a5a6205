// SPDX-License-Identifier: Apache-2.0
#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>

#include "procedure/heading_run.h"
#include "procedure/heading_vectors_internal.h"

using namespace qn;
using namespace qn::heading_only;

namespace {

constexpr double kDeg = std::numbers::pi / 180.0;
constexpr double kH = 20.0;

// By how much a field turns a display: the direction of the horizontal vector the sensor sees, in
// the airframe's axes, taken twice. Written out here so that it shares nothing with the estimator.
double turned_rad(double bx, double by, double heading_rad) {
  const double x = kH * std::cos(heading_rad);
  const double y = -kH * std::sin(heading_rad);
  const double turned = std::atan2(-(y + by), x + bx) - std::atan2(-y, x);
  return std::remainder(turned, 2.0 * std::numbers::pi);
}

TurnedDisplay seen(double heading_deg, const std::vector<Vector3>& fields, double sigma_deg) {
  TurnedDisplay out;
  out.aircraft_heading_rad = heading_deg * kDeg;
  out.covariance_rad2 = SquareMatrix{fields.size()};
  for (std::size_t k = 0; k < fields.size(); ++k) {
    out.turned_rad.push_back(turned_rad(fields[k][0], fields[k][1], heading_deg * kDeg));
    out.covariance_rad2(k, k) = std::pow(sigma_deg * kDeg, 2);
    out.field.push_back(k);
  }
  return out;
}

double sigma(const JointFields& joint, std::size_t k, std::size_t axis) {
  return std::sqrt(joint.covariance_uT2(3 * k + axis, 3 * k + axis));
}

}  // namespace

TEST_CASE("two headings give the field back exactly, whatever its size",
          "[procedure][heading][closed-form]") {
  // From nothing to twice the Earth's horizontal field; the equation has no small-angle part.
  const std::vector<Vector3> fields{
      {0, 0, 0}, {0.3, -0.2, 0}, {-5, 9, 0}, {14, 12, 0}, {25, -31, 0}};
  const JointFields found =
      horizontal_fields({seen(20.0, fields, 0.01), seen(117.0, fields, 0.01)}, fields.size(), kH);
  for (std::size_t k = 0; k < fields.size(); ++k) {
    // The weak opinion that every field is near zero (1000 uT) is all that is between.
    CHECK(found.field_uT[k][0] == Approx(fields[k][0]).margin(1e-3));
    CHECK(found.field_uT[k][1] == Approx(fields[k][1]).margin(1e-3));
    CHECK(found.field_uT[k][2] == 0.0);
    CHECK(sigma(found, k, 2) == Approx(kUnseen_uT));
  }
}

TEST_CASE("the error of a small field is H times that of the angle over the sine between headings",
          "[procedure][heading][closed-form]") {
  // On 000 only y is seen, b_y = -H eps; on 090 only x. At 30 degrees apart the part across the
  // first heading is known 1/sin 30 = 2 times and more worse: sqrt(1 + cos^2 30) / sin 30 = 2.646.
  const std::vector<Vector3> nothing{{0, 0, 0}};
  const double unit = kH * 0.1 * kDeg;
  const JointFields square =
      horizontal_fields({seen(0.0, nothing, 0.1), seen(90.0, nothing, 0.1)}, 1, kH);
  CHECK(sigma(square, 0, 0) == Approx(unit).epsilon(1e-4));
  CHECK(sigma(square, 0, 1) == Approx(unit).epsilon(1e-4));
  const JointFields narrow =
      horizontal_fields({seen(0.0, nothing, 0.1), seen(30.0, nothing, 0.1)}, 1, kH);
  CHECK(sigma(narrow, 0, 1) == Approx(unit).epsilon(1e-4));
  CHECK(sigma(narrow, 0, 0) == Approx(2.6458 * unit).epsilon(1e-4));
}

TEST_CASE("one heading shows the part across it and nothing of the part along it",
          "[procedure][heading][closed-form]") {
  const std::vector<Vector3> field{{1.0, 0.5, 0.0}};
  const JointFields found = horizontal_fields({seen(90.0, field, 0.05)}, 1, kH);
  CHECK(found.field_uT[0][0] == Approx(1.0).margin(0.03));  // z is 90 plus what it was turned
  CHECK(std::abs(found.field_uT[0][1]) < 0.1);
  CHECK(sigma(found, 0, 1) > 0.99 * kUnseen_uT);
}

TEST_CASE("a common error of the angles stays common in the fields",
          "[procedure][heading][closed-form]") {
  const std::vector<Vector3> two{{0, 0, 0}, {0, 0, 0}};
  TurnedDisplay north = seen(0.0, two, 0.1);
  TurnedDisplay east = seen(90.0, two, 0.1);
  for (TurnedDisplay* log : {&north, &east}) {
    log->covariance_rad2(0, 1) = log->covariance_rad2(1, 0) = 0.5 * log->covariance_rad2(0, 0);
  }
  const JointFields found = horizontal_fields({north, east}, 2, kH);
  CHECK(found.covariance_uT2(0, 3) == Approx(0.5 * found.covariance_uT2(0, 0)).epsilon(1e-6));
  CHECK(found.covariance_uT2(1, 4) == Approx(0.5 * found.covariance_uT2(1, 1)).epsilon(1e-6));
}

TEST_CASE("the part of a field that a display shows lies across its needle",
          "[procedure][heading][closed-form]") {
  // 1 uT to the right on heading 000: tan eps = -1/20, and H sin(eps) is the part across the
  // turned needle: 20 sin(2.8624 deg) = 0.99875 uT.
  const Vector3 part = part_seen(0.0, turned_rad(0.0, 1.0, 0.0), kH);
  CHECK(std::hypot(part[0], part[1]) == Approx(0.998752).epsilon(1e-5));
  CHECK(part[1] > 0.99);
  CHECK(part[2] == 0.0);
}
