// SPDX-License-Identifier: Apache-2.0
#include "procedure/swing_rose.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>

#include "procedure/swing_compass_internal.h"
#include "vocab/heading.h"

namespace qn {
namespace {

// Nearer than this the same name is meant: 22.5 written as 22.50.
constexpr double kSameName_deg = 0.01;

double names_apart_deg(double a_deg, double b_deg) {
  return std::fabs(wrap_180_deg(a_deg - b_deg));
}

Error no_such_mark(const Rose& rose, const SwingReading& reading) {
  const RoseMark& near = nearest_mark(rose, reading.station_deg);
  return {ErrorKind::BadInput,
          fmt::format("station {} is no mark of the rose; the nearest is {}, {:g} deg away",
                      swing_heading_text(reading.station_deg), swing_heading_text(near.written_deg),
                      names_apart_deg(near.written_deg, reading.station_deg)),
          fmt::format("row {} of the stations", reading.row + 1),
          "in station_deg, what is written at a mark of the rose",
          "correct the station; or add it to the rose file with the direction it was measured to"};
}

void take_sigmas(RoseUse& use, const Rose& rose, const std::vector<SwingReading>& as_written,
                 SwingOptions& options) {
  use.placing_sigma_deg = settings_of(options).prior.station_sigma_deg;
  use.station_sigma_given = options.station_sigma_deg.has_value();
  use.station_sigma_deg = use.placing_sigma_deg;
  double squares = 0.0, count = 0.0;
  for (const SwingReading& r : as_written) {
    const RoseMark& mark = *find_mark(rose, r.station_deg);
    if (!(mark.sigma_deg > 0.0)) continue;
    squares += mark.sigma_deg * mark.sigma_deg;
    count += 1.0;
  }
  if (count > 0.0) {
    use.mark_sigma_deg = std::sqrt(squares / count);
    if (!use.station_sigma_given) {
      use.station_sigma_deg = std::sqrt(use.placing_sigma_deg * use.placing_sigma_deg +
                                        squares / static_cast<double>(as_written.size()));
      options.station_sigma_deg = use.station_sigma_deg;
    }
  }
  use.north_sigma_given = options.north_sigma_deg.has_value();
  if (!use.north_sigma_given) options.north_sigma_deg = rose.north_sigma_deg;
  use.north_sigma_deg = options.north_sigma_deg;
}

}  // namespace

const RoseMark& nearest_mark(const Rose& rose, double written_deg) {
  return *std::min_element(rose.marks.begin(), rose.marks.end(),
                           [&](const RoseMark& a, const RoseMark& b) {
                             return names_apart_deg(a.written_deg, written_deg) <
                                    names_apart_deg(b.written_deg, written_deg);
                           });
}

const RoseMark* find_mark(const Rose& rose, double written_deg) {
  const RoseMark& near = nearest_mark(rose, written_deg);
  return names_apart_deg(near.written_deg, written_deg) < kSameName_deg ? &near : nullptr;
}

Result<RoseUse> stand_on_rose(const Rose& rose, std::vector<SwingReading>& readings,
                              SwingOptions& options) {
  for (const SwingReading& r : readings) {
    if (find_mark(rose, r.station_deg) == nullptr) return no_such_mark(rose, r);
  }
  RoseUse out;
  take_sigmas(out, rose, readings, options);
  std::map<double, RoseMark> used;
  for (SwingReading& r : readings) {
    const RoseMark& mark = *find_mark(rose, r.station_deg);
    used.emplace(mark.written_deg, mark);
    r.station_deg = mark.direction_deg;
    if (!out.station_sigma_given && mark.sigma_deg > 0.0) r.mark_sigma_deg = mark.sigma_deg;
  }
  bool first = true;
  for (const auto& [written_deg, mark] : used) {
    const double off = wrap_180_deg(mark.direction_deg - written_deg);
    out.off_deg.first = first ? off : std::min(out.off_deg.first, off);
    out.off_deg.second = first ? off : std::max(out.off_deg.second, off);
    out.mean_off_deg += off / static_cast<double>(used.size());
    out.marks.push_back(mark);
    first = false;
  }
  return out;
}

}  // namespace qn
