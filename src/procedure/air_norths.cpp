// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <cmath>
#include <vector>

#include "procedure/air_words_internal.h"

namespace qn {
namespace {

constexpr double kUsualA_deg = 2.0;     // what a display's A usually is, for the mix-up of norths
constexpr double kClearlyBetter = 3.0;  // as a logarithm: 20 to 1
constexpr double kVariationSeen_deg = 3.0;

struct OtherNorths {
  AirOptions options;
  const char* say;
};

// One word of the two said otherwise.
std::vector<OtherNorths> other_norths(const AirOptions& options) {
  AirOptions tracks = options;
  AirOptions headings = options;
  const bool tracks_true = options.tracks_are == TrackNorth::true_north;
  const bool headings_true = options.headings_are == ShownNorth::true_north;
  tracks.tracks_are = tracks_true ? TrackNorth::magnetic : TrackNorth::true_north;
  headings.headings_are = headings_true ? ShownNorth::magnetic : ShownNorth::true_north;
  return {{tracks, tracks_true ? "the tracks are magnetic (then say --tracks-are magnetic)"
                               : "the tracks are true (then say --tracks-are true)"},
          {headings, headings_true ? "the display shows magnetic headings (then leave out "
                                     "--headings-are true)"
                                   : "the display shows true headings (then say --headings-are "
                                     "true)"}};
}

}  // namespace

std::string norths_text(const AirOptions& o) {
  return fmt::format("tracks are {}, headings {},",
                     o.tracks_are == TrackNorth::true_north ? "true" : "magnetic",
                     o.headings_are == ShownNorth::true_north ? "true" : "magnetic");
}

// The residuals are the same whichever north was meant: only A tells, by being the variation.
void suggest_other_north(AirSolution& out, const AirOptions& options) {
  if (!options.variation_deg || !out.supported[0]) return;
  const double v = *options.variation_deg;
  if (std::fabs(v) < kVariationSeen_deg) return;
  const double a = out.curve.coefficients_deg[0];
  const double s2 = kUsualA_deg * kUsualA_deg + out.sigma_deg[0] * out.sigma_deg[0];
  const auto better = [&](double other) {
    return (a * a - other * other) / (2.0 * s2) > kClearlyBetter &&
           std::fabs(other) < 0.5 * std::fabs(a);
  };
  std::string either;
  double becomes = a;
  for (const OtherNorths& other : other_norths(options)) {
    const double then = a + v * (options.norths_apart() - other.options.norths_apart());
    if (!better(then)) continue;
    // Two ways to the same A, or the one that is nearer to none.
    if (either.empty() || std::fabs(then) < std::fabs(becomes) - 1e-9) {
      either = other.say;
      becomes = then;
    } else if (std::fabs(then - becomes) < 1e-9) {
      either = "either " + either + ", or " + other.say;
    }
  }
  if (!either.empty()) {
    out.remarks.push_back(
        fmt::format("A is {:+.1f} deg and the variation {:+.1f}: it looks as if {}. A is then "
                    "{:+.1f}. Nothing was changed.",
                    a, v, either, becomes));
  } else if (options.norths_apart() != 0.0 && better(a + 2.0 * v * options.norths_apart())) {
    out.remarks.push_back(fmt::format(
        "A is {:+.1f} deg, twice the variation of {:+.1f} the other way: look at its sign, east is "
        "positive. Nothing was changed.",
        a, v));
  }
}

}  // namespace qn
