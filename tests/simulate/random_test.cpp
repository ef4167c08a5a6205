// SPDX-License-Identifier: Apache-2.0
#include "simulate/random.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <cstdint>

using namespace qn::simulate;

TEST_CASE("SplitMix64 gives the published first numbers of seed 1234567", "[simulate][published]") {
  // Rosetta Code, "Pseudo-random numbers/Splitmix64": first five outputs for seed 1234567.
  std::uint64_t state = 1234567;
  CHECK(split_mix(state) == 6457827717110365317U);
  CHECK(split_mix(state) == 3203168211198807973U);
  CHECK(split_mix(state) == 9817491932198370423U);
  CHECK(split_mix(state) == 4593380528125082431U);
  CHECK(split_mix(state) == 16408922859458223821U);
}

TEST_CASE("xoshiro256** from the words 1 2 3 4 starts as worked out by hand",
          "[simulate][closed-form]") {
  // Output is rotl(s1 * 5, 7) * 9. First: s1 = 2, 10 rotated by 7 is 1280, times 9 is 11520.
  // Step: t = 2 << 17; s2 ^= s0 -> 3^1 = 2; s3 ^= s1 -> 4^2 = 6; s1 ^= s2 -> 2^2 = 0, so the second
  // output is 0; s0 ^= s3 -> 1^6 = 7; s2 ^= t -> 2^262144 = 262146; s3 = 6 << 45.
  // Step: t = 0; s2 ^= s0 -> 262146^7 = 262149; s3 ^= s1 unchanged; s1 ^= s2 -> 262149.
  // Third: 262149 * 5 = 1310745, times 128 = 167775360, times 9 = 1509978240.
  Random random{std::array<std::uint64_t, 4>{1, 2, 3, 4}};
  CHECK(random.next() == 11520U);
  CHECK(random.next() == 0U);
  CHECK(random.next() == 1509978240U);
  // Further on: the reference vector of the rand_xoshiro crate for the same words.
  CHECK(random.next() == 1215971899390074240U);
  CHECK(random.next() == 1216172134540287360U);
  CHECK(random.next() == 607988272756665600U);
  CHECK(random.next() == 16172922978634559625U);
}

TEST_CASE("normal numbers have the moments of a normal distribution", "[simulate][closed-form]") {
  // n = 200 000; sampling sd of mean 1/sqrt(n) = 0.0022, of variance sqrt(2/n) = 0.0032, of the
  // fourth moment sqrt(96/n) = 0.022. Four of them each. P(|x| > 1.959964) = 0.05, sd 0.00049.
  Random random{7};
  const int n = 200'000;
  double sum = 0, sum2 = 0, sum4 = 0, beyond = 0;
  for (int i = 0; i < n; ++i) {
    const double x = random.normal();
    sum += x;
    sum2 += x * x;
    sum4 += x * x * x * x;
    beyond += std::abs(x) > 1.959964 ? 1 : 0;
  }
  CHECK(std::abs(sum / n) < 0.009);
  CHECK(std::abs(sum2 / n - 1.0) < 0.013);
  CHECK(std::abs(sum4 / n - 3.0) < 0.09);
  CHECK(std::abs(beyond / n - 0.05) < 0.002);
}

TEST_CASE("streams of one seed differ and one stream repeats itself", "[simulate][synthetic]") {
  Random a{5, 1}, b{5, 1}, c{5, 2}, d{6, 1};
  const auto first = a.next();
  CHECK(first == b.next());
  CHECK(first != c.next());
  CHECK(first != d.next());
}

TEST_CASE("directions are spread evenly over the sphere", "[simulate][closed-form]") {
  // Each component has mean 0 and mean square 1/3; sd of the mean square is sqrt(4/45/n) = 0.0013.
  Random random{9};
  const int n = 50'000;
  qn::Vector3 mean{}, square{};
  for (int k = 0; k < n; ++k) {
    const auto u = random.direction();
    CHECK(std::abs(std::hypot(u[0], u[1], u[2]) - 1.0) < 1e-12);
    for (std::size_t i = 0; i < 3; ++i) {
      mean[i] += u[i] / n;
      square[i] += u[i] * u[i] / n;
    }
  }
  for (std::size_t i = 0; i < 3; ++i) {
    CHECK(std::abs(mean[i]) < 0.011);  // four times sqrt(1/3/n)
    CHECK(std::abs(square[i] - 1.0 / 3.0) < 0.0054);
  }
}
