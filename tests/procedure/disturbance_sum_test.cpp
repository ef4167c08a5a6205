// SPDX-License-Identifier: Apache-2.0
#include "procedure/disturbance_sum.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>

#include "estimation/gaussian_draws.h"

namespace {

constexpr double kH = 20.0;

qn::LocalField earth() {
  return {.horizontal_uT = kH,
          .down_uT = 43.0,
          .sigma_horizontal_uT = 0.02,
          .sigma_down_uT = 0.1,
          .variation = {},
          .sigma_variation = {},
          .source = "test"};
}

qn::Limit one_degree() { return {qn::Angle::degrees(1.0), "your own limit"}; }

// Fields that share one baseline: own variance on the diagonal, the baseline's everywhere.
qn::JointFields joint_of(const std::vector<qn::Vector3>& fields, double own, double shared) {
  qn::JointFields joint{fields, qn::SquareMatrix{3 * fields.size()}};
  for (std::size_t k = 0; k < fields.size(); ++k) {
    for (std::size_t m = 0; m < fields.size(); ++m) {
      for (std::size_t axis = 0; axis < 3; ++axis) {
        joint.covariance_uT2(3 * k + axis, 3 * m + axis) =
            shared * shared + (k == m ? own * own : 0.0);
      }
    }
  }
  return joint;
}

std::vector<qn::SumMember> members_of(std::size_t count, std::size_t optional_from) {
  std::vector<qn::SumMember> members;
  for (std::size_t k = 0; k < count; ++k) {
    members.push_back({std::string(1, 'd').append(std::to_string(k)), "on", k, k >= optional_from});
  }
  return members;
}

}  // namespace

TEST_CASE("the sum counts the common baseline once for all", "[disturbance_sum][closed-form]") {
  const auto joint = joint_of({{0.1, 0.2, 0.3}, {0.2, -0.1, 0.0}, {-0.1, 0.0, 0.5}}, 0.03, 0.01);
  const auto sum = qn::sum_of_fields(members_of(3, 3), joint);
  CHECK(sum.field_uT[0] == Approx(0.2));
  CHECK(sum.field_uT[1] == Approx(0.1));
  CHECK(sum.field_uT[2] == Approx(0.8));
  // Three own parts, and the shared error three times over in amplitude: 3 s^2 + 9 b^2.
  CHECK(sum.covariance_uT2[0][0] == Approx(3 * 0.03 * 0.03 + 9 * 0.01 * 0.01));
  CHECK(sum.covariance_uT2[0][1] == 0.0);
}

TEST_CASE("a phase is the vector sum, not the sum of sizes", "[disturbance_sum][closed-form]") {
  const auto joint = joint_of({{0.6, 0.0, 0.0}, {-0.6, 0.1, 0.0}}, 0.002, 0.001);
  const auto effect = qn::combine("taxi", members_of(2, 2), joint, earth(), one_degree());
  CHECK(effect.phase == "taxi");
  CHECK(effect.devices == std::vector<std::string>{"d0", "d1"});
  CHECK(effect.heading.worst.in_rad() == Approx(std::asin(0.1 / kH)));
  CHECK(effect.worst_subset.empty());
  CHECK(effect.worst_subset_error == effect.heading.worst);
  CHECK(effect.worst_subset_95 == effect.heading.worst_95);
  CHECK_FALSE(effect.best_cure.has_value());  // each alone would be worse
  CHECK(effect.cure_order.empty());
  CHECK(effect.verdict.state == qn::VerdictState::within);
}

TEST_CASE("the verdict is on the worst subset", "[disturbance_sum][closed-form]") {
  // All on they cancel to 0.1 uT; without d1 it is 0.6 uT, 1.72 degrees.
  const auto joint = joint_of({{0.6, 0.0, 0.0}, {-0.6, 0.1, 0.0}}, 0.002, 0.001);
  const auto effect = qn::combine("night", members_of(2, 1), joint, earth(), one_degree());
  CHECK(effect.heading.worst_95.hi.in_deg() < 1.0);
  CHECK(effect.worst_subset.empty());
  CHECK(effect.worst_subset_error.in_rad() == Approx(std::asin(0.6 / kH)));
  CHECK(effect.worst_subset_95.lo < effect.worst_subset_error);
  CHECK(effect.worst_subset_95.hi > effect.worst_subset_error);
  CHECK(effect.verdict.state == qn::VerdictState::over);
  CHECK(effect.verdict.because.find("optional") != std::string::npos);
  CHECK(effect.verdict.do_next.find("d0") != std::string::npos);
}

TEST_CASE("of several states the one that adds up worst counts", "[disturbance_sum][closed-form]") {
  const auto joint = joint_of({{1.0, 0.0, 0.0}, {-0.8, 0.0, 0.0}, {0.3, 0.0, 0.0}}, 0.002, 0.001);
  const std::vector<qn::SumMember> members{
      {"light", "on", 0, false}, {"trim", "left", 1, false}, {"trim", "right", 2, false}};
  const auto effect = qn::combine("cruise", members, joint, earth(), one_degree());
  CHECK(effect.field.field_uT[0] == Approx(1.3));  // not -0.8, though that state is stronger
  CHECK(effect.worst_subset_error.in_rad() == Approx(std::asin(1.3 / kH)));
  CHECK(effect.devices == std::vector<std::string>{"light", "trim"});
  // Curing the light leaves the stronger state of the trim, curing the trim leaves the light.
  CHECK(effect.best_cure == std::string{"light"});
  CHECK(effect.after_best_cure.in_rad() == Approx(std::asin(0.8 / kH)));
  CHECK(effect.cure_order == std::vector<std::string>{"light", "trim"});
}

TEST_CASE("a lost heading is said", "[disturbance_sum][closed-form]") {
  const auto joint = joint_of({{25.0, 0.0, 0.0}, {0.3, 0.0, 0.0}}, 0.01, 0.01);
  const auto effect = qn::combine("start", members_of(2, 2), joint, earth(), one_degree());
  CHECK(effect.heading.worst.in_deg() == 180.0);
  CHECK(effect.verdict.because.find("lost") != std::string::npos);
  CHECK(effect.verdict.state == qn::VerdictState::over);
  CHECK(effect.best_cure == std::string{"d0"});
}

TEST_CASE("turning the axes turns nothing but the heading of the worst",
          "[disturbance_sum][closed-form]") {
  const std::vector<qn::Vector3> fields{{0.3, 0.1, 0.2}, {0.2, -0.4, 0.0}, {-0.1, 0.3, 0.1}};
  std::vector<qn::Vector3> turned;
  const double c = std::cos(0.7);
  const double s = std::sin(0.7);
  for (const auto& f : fields) turned.push_back({c * f[0] + s * f[1], c * f[1] - s * f[0], f[2]});
  const auto a =
      qn::combine("x", members_of(3, 1), joint_of(fields, 0.01, 0.01), earth(), one_degree());
  const auto b =
      qn::combine("x", members_of(3, 1), joint_of(turned, 0.01, 0.01), earth(), one_degree());
  CHECK(a.heading.worst.in_deg() == Approx(b.heading.worst.in_deg()));
  CHECK(a.worst_subset == b.worst_subset);
  CHECK(a.worst_subset_error.in_deg() == Approx(b.worst_subset_error.in_deg()));
  // The draws do not turn with the axes: their own scatter, 0.1 sigma of the sum.
  CHECK(a.worst_subset_95.hi.in_deg() == Approx(b.worst_subset_95.hi.in_deg()).margin(0.01));
  // Curing d0 first and curing d1 first leave equally much: the one listed first is named first.
  CHECK(a.cure_order == std::vector<std::string>{"d0", "d1"});
  CHECK(a.cure_order == b.cure_order);
}

TEST_CASE("the band of the worst subset holds the truth", "[disturbance_sum][synthetic][long]") {
  // Eight optional devices: of clear size, and of none, where choosing on the estimates makes the
  // sum look much too long (a band of the chosen set alone would hold the truth in 80 %).
  for (const double size : {0.0, 0.03, 0.1}) {
    std::vector<qn::Vector3> truth{{0.5 * size, 0.2 * size, 0.0}};
    for (int k = 0; k < 8; ++k) {
      truth.push_back({size * std::cos(1.3 * k), size * std::sin(1.3 * k), 0.0});
    }
    const auto members = members_of(9, 1);
    const double length =
        kH * std::sin(qn::combine("x", members, joint_of(truth, 1e-9, 0.0), earth(), one_degree())
                          .worst_subset_error.in_rad());
    const qn::JointFields known = joint_of(truth, 0.03, 0.0);
    const std::size_t runs = 400;
    const auto draws = qn::gaussian_draws(known.covariance_uT2, runs, 77);
    double held = 0.0;
    double chosen_blindly = 0.0;
    for (std::size_t r = 0; r < runs; ++r) {
      qn::JointFields found = known;
      for (std::size_t i = 0; i < 27; ++i) found.field_uT[i / 3][i % 3] += draws[27 * r + i];
      const auto effect = qn::combine("x", members, found, earth(), one_degree());
      const qn::Angle worst = qn::Angle::radians(std::asin(length / kH));
      const double share = 1.0 / static_cast<double>(runs);
      held += effect.worst_subset_95.lo <= worst && worst <= effect.worst_subset_95.hi ? share : 0;
      chosen_blindly += effect.worst_subset_error > worst ? share : 0;
    }
    CAPTURE(size, held, chosen_blindly);
    CHECK(held >= 0.92);  // 400 runs: 0.95 less 2.8 times its own scatter
    if (size < 0.1) CHECK(chosen_blindly > 0.8);
  }
}

TEST_CASE("everything at once agrees with its parts when it is their sum",
          "[disturbance_sum][synthetic]") {
  const std::vector<qn::Vector3> truth{
      {0.3, 0.1, 0.2}, {0.2, -0.4, 0.0}, {-0.1, 0.3, 0.1}, {0.4, 0.0, 0.3}};
  const qn::JointFields known = joint_of(truth, 0.02, 0.05);
  const std::size_t runs = 2000;
  const auto draws = qn::gaussian_draws(known.covariance_uT2, runs, 5);
  double agree = 0.0;
  double held = 0.0;
  double found_out = 0.0;
  for (std::size_t r = 0; r < runs; ++r) {
    qn::JointFields found = known;
    for (std::size_t i = 0; i < 12; ++i) found.field_uT[i / 3][i % 3] += draws[12 * r + i];
    const qn::AllOn all = qn::compare_all_on(3, members_of(3, 3), found, earth());
    agree += all.agree ? 1.0 / runs : 0.0;
    held += all.difference_95.lo.in_deg() == 0.0 ? 1.0 / runs : 0.0;
    found.field_uT[3][1] += 1.0;
    found_out += qn::compare_all_on(3, members_of(3, 3), found, earth()).agree ? 0.0 : 1.0 / runs;
  }
  CHECK(agree == Approx(0.95).margin(0.02));  // 4 sigma of a share of 2000
  CHECK(held == Approx(0.975).margin(0.014));
  // sigma of the difference: sqrt(4 0.02^2 + 4 0.05^2) = 0.108, so 1 uT is 9 sigma.
  CHECK(found_out == Approx(1.0));
}

TEST_CASE("cures over all phases", "[disturbance_sum][closed-form]") {
  const auto joint = joint_of({{0.6, 0.0, 0.0}, {0.0, 0.5, 0.0}, {0.2, 0.0, 0.0}}, 0.01, 0.0);
  const std::vector<qn::SumMember> taxi{{"pump", "on", 0, false}, {"fan", "on", 2, true}};
  const std::vector<qn::SumMember> night{{"light", "on", 1, false}, {"pump", "on", 0, false}};
  // Pump and light must both go: light alone turns by asin(0.5 / 20) = 1.43 degrees.
  const auto order = qn::cure_order_of({taxi, night}, joint, earth(), one_degree());
  CHECK(order == std::vector<std::string>{"pump", "light"});
  CHECK(
      qn::cure_order_of({taxi, night}, joint, earth(), {qn::Angle::degrees(3.0), "your own limit"})
          .empty());
}
