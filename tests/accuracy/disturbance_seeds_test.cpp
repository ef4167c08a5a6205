// SPDX-License-Identifier: Apache-2.0
// Simulated runs that were once read wrongly, each for the reason it is named after.
#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <string_view>

#include "accuracy/disturbance_score.h"

using namespace qn::accuracy;

namespace {

struct OnceWrong {
  const char* table;
  std::uint64_t seed;
  const char* why;
  const char* of = "field";  ///< in the names of the quantities that were wrong
};

// Largest error of a field over its bound; more than a few is no noise.
double furthest_off(const DisturbanceScore& score, std::string_view of) {
  double most = 0.0;
  for (const Reading& reading : score.readings) {
    if (reading.quantity.rfind("field", 0) != 0 || !std::isfinite(reading.error)) continue;
    if (reading.quantity.find(of) == std::string::npos) continue;
    most = std::max(most, std::abs(reading.error) / reading.bound);
  }
  return most;
}

}  // namespace

TEST_CASE("runs that were once read wrongly are not again", "[accuracy][monte-carlo]") {
  for (const OnceWrong& run : {
           OnceWrong{"disturbance-clean", 700275, "a period believed from one visit"},
           OnceWrong{"disturbance-clean", 900293, "three pulses read at half their period"},
           OnceWrong{"disturbance-ordinary", 500053, "steel looked for in another travel"},
           OnceWrong{"disturbance-ordinary", 500045, "one travel read as two edges", "gear"},
           OnceWrong{"disturbance-ordinary", 500016, "a train taken for a pump's pulses"},
           OnceWrong{"disturbance-ordinary", 900041, "a train lost where a strobe worked"},
       }) {
    INFO(run.table << " " << run.seed << ": " << run.why);
    const DisturbanceScore score = score_disturbance(run.table, run.seed);
    CHECK_FALSE(score.refusal.has_value());
    CHECK(furthest_off(score, run.of) < 12.0);
  }
}
