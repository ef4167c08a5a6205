// SPDX-License-Identifier: Apache-2.0
#include "procedure/swing_iron.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "estimation/gaussian_draws.h"
#include "procedure/swing_compass_internal.h"
#include "vocab/heading.h"

namespace qn {
namespace {

constexpr double kRad = std::numbers::pi / 180.0;
constexpr unsigned kSeed = 20260604;
// Nearer to the magnetic equator than this dip, vertical iron hardly shows, and a forecast from
// there would have to guess it.
constexpr double kFlat_deg = 15.0;

SwingCoefficients exact_coefficients(const SwingCompass& compass, const double* draw) {
  const SwingCoefficients k{draw[0], draw[1], draw[2], draw[3], draw[4]};
  return compass.exact() ? k : exact_from_series(k);
}

std::string cannot_tell(const SwingCompass& compass) {
  if (!compass.solved) return "the swing of this compass could not be solved";
  const std::string missing = unsupported_names(compass);
  return missing.empty() ? "" : "the headings read do not tell " + missing;
}

IronPart part_of(const SwingCompass& compass, std::size_t j, double scale, double field_sigma) {
  double sum = 0.0, squares = 0.0;
  const std::size_t draws = compass.draws_deg.size() / 5;
  const auto count = static_cast<double>(draws);
  for (std::size_t d = 0; d + 5 <= compass.draws_deg.size(); d += 5) {
    const double k = exact_coefficients(compass, &compass.draws_deg[d])[j] * kRad;
    sum += k;
    squares += k * k;
  }
  const double mean = sum / count;
  const double sigma = std::sqrt(std::max(0.0, squares / count - mean * mean));
  const double value = mean * scale * kAssumedShare.value;
  // The share and the field's own error come on top of the swing's.
  return {value, std::hypot(sigma * scale * kAssumedShare.value,
                            value * std::hypot(kAssumedShare.sigma, field_sigma))};
}

/// The curve there when B' and C' are multiplied so.
SwingShape shape_there(const SwingCompass& compass, double b, double c, double spread,
                       const std::vector<double>& field) {
  std::vector<double> draws;
  SwingCoefficients mean{};
  const std::size_t count = compass.draws_deg.size() / 5;
  for (std::size_t d = 0; d < count; ++d) {
    SwingCoefficients k = exact_coefficients(compass, &compass.draws_deg[5 * d]);
    const double more = 1.0 + spread * field[d];
    k[1] *= b * more;
    k[2] *= c * more;
    draws.insert(draws.end(), k.begin(), k.end());
    for (std::size_t j = 0; j < 5; ++j) mean[j] += k[j] / static_cast<double>(count);
  }
  return shape_of({DeviationForm::exact, mean}, draws);
}

void hold(IronForecast& out, const SwingShape& shape, bool first) {
  for (std::size_t i = 0; i < out.points.size(); ++i) {
    const SwingPoint& p = shape.points[3 * i];  // they stand every 10 degrees
    ForecastPoint& to = out.points[i];
    to.lo_deg = first ? p.lo_deg : std::min(to.lo_deg, p.lo_deg);
    to.hi_deg = first ? p.hi_deg : std::max(to.hi_deg, p.hi_deg);
  }
  auto& [lo, hi] = out.worst_95_deg;
  lo = first ? shape.worst_95_deg.first : std::min(lo, shape.worst_95_deg.first);
  hi = first ? shape.worst_95_deg.second : std::max(hi, shape.worst_95_deg.second);
}

void judge_there(IronForecast& out, const std::optional<Limit>& limit) {
  out.verdict.limit = limit;
  const std::string what = fmt::format("there the largest deviation is {:.1f} to {:.1f} deg (95 %)",
                                       out.worst_95_deg.first, out.worst_95_deg.second);
  out.verdict.do_next = "swing again there";
  if (!limit) {
    out.verdict.because = what + "; there is no limit to judge it by";
    return;
  }
  out.verdict.state = judge(
      {Angle::degrees(out.worst_95_deg.first), Angle::degrees(out.worst_95_deg.second)}, *limit);
  out.verdict.because =
      fmt::format("{}, the limit {:g} deg ({})", what, limit->value.in_deg(), limit->basis);
}

}  // namespace

SwingIron iron_of(const SwingCompass& compass, const LocalField& here) {
  SwingIron out;
  out.why_not = cannot_tell(compass);
  out.known = out.why_not.empty();
  if (!out.known) return out;
  const double h = here.horizontal_uT;
  const double field = here.sigma_horizontal_uT / h;
  out.ahead_uT = part_of(compass, 1, h, field);
  out.right_uT = part_of(compass, 2, h, field);
  out.soft_turn = part_of(compass, 0, 1.0, 0.0);
  out.soft_length = part_of(compass, 3, 1.0, 0.0);
  out.soft_cross = part_of(compass, 4, 1.0, 0.0);
  out.remarks = {
      "Ahead and right hold permanent magnetism and vertical soft iron together (P + cZ, Q + fZ): "
      "a "
      "level swing at one place cannot tell them apart. A second swing at another dip can.",
      fmt::format(
          "A level swing does not show what share of the Earth's field reaches the compass; "
          "{:g}, 1 sigma {:g}, is assumed. The forecast does not need it.",
          kAssumedShare.value, kAssumedShare.sigma),
      "What g, h, k and R do (down) shows only in bank and climb, not here."};
  return out;
}

IronForecast forecast_swing(const SwingCompass& compass, const LocalField& here,
                            const LocalField& there) {
  IronForecast out;
  out.why_not = cannot_tell(compass);
  if (out.why_not.empty() && std::fabs(here.dip().in_deg()) < kFlat_deg) {
    out.why_not = fmt::format(
        "at dip {:.0f} deg vertical soft iron hardly shows, so what it will do there is unknown",
        here.dip().in_deg());
  }
  out.known = out.why_not.empty();
  if (!out.known) {
    out.verdict.because = out.why_not;
    out.verdict.do_next = "swing again there";
    return out;
  }
  out.all_hard = here.horizontal_uT / there.horizontal_uT;
  out.all_soft = (there.down_uT / there.horizontal_uT) / (here.down_uT / here.horizontal_uT);
  for (int z = 0; z < 360; z += 30) {
    out.points.push_back({static_cast<double>(z), compass.curve.deviation_deg(z), 0.0, 0.0});
  }
  const double spread = std::hypot(here.sigma_horizontal_uT / here.horizontal_uT,
                                   there.sigma_horizontal_uT / there.horizontal_uT);
  SquareMatrix unit{1};
  unit(0, 0) = 1.0;
  const std::vector<double> field = gaussian_draws(unit, compass.draws_deg.size() / 5, kSeed);
  bool first = true;
  for (const double b : {0.0, 0.5, 1.0}) {
    for (const double c : {0.0, 0.5, 1.0}) {
      const auto factor = [&](double soft) {
        return (1.0 - soft) * out.all_hard + soft * out.all_soft;
      };
      hold(out, shape_there(compass, factor(b), factor(c), spread, field), first);
      first = false;
    }
  }
  judge_there(out, compass.verdict.limit);
  out.remarks = {
      fmt::format(
          "B and C become {:.2f} times what they are if they are permanent magnetism, {:.2f} "
          "times if they are vertical soft iron; the band holds every mixture of the two. "
          "Where the two work against each other here it can be more.",
          out.all_hard, out.all_soft),
      "A, D and E stay: horizontal soft iron goes with the field that reaches it. Screws "
      "magnetised "
      "to take B and C off count as permanent."};
  return out;
}

}  // namespace qn
