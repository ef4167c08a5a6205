// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <optional>
#include <string_view>

#include "procedure/swing_suspects_internal.h"
#include "vocab/heading.h"

namespace qn {
namespace {

// The chance of a wrong reading before anything is seen: one in thirty, as people are tired by
// then; of standing on a wrong mark, one in a hundred.
constexpr double kWrongReading = 0.03;
constexpr double kWrongMark = 0.01;
// Of wrong marks, those on both sides of the right one, each.
constexpr double kNextMark = 0.35;

// The nearest other marks of the same compass on both sides.
std::vector<std::size_t> marks_beside(const std::vector<JointRow>& rows, std::size_t i) {
  double after = 360.0;
  double before = -360.0;
  std::optional<std::size_t> next;
  std::optional<std::size_t> last;
  for (std::size_t k = 0; k < rows.size(); ++k) {
    if (rows[k].compass != rows[i].compass) continue;
    const double gap = wrap_180_deg(rows[k].as_read.station_deg - rows[i].as_read.station_deg);
    if (gap > 1.0 && gap < after) {
      after = gap;
      next = k;
    }
    if (gap < -1.0 && gap > before) {
      before = gap;
      last = k;
    }
  }
  std::vector<std::size_t> out;
  for (const auto& k : {next, last}) {
    if (k) out.push_back(*k);
  }
  return out;
}

GrossSuspect suspect_reading(const std::vector<JointRow>& rows, std::size_t i, bool witnessed) {
  const double expected = rows[i].as_read.indicated_deg - rows[i].view.left_deg;
  std::vector<double> neighbours;
  for (const std::size_t k : marks_beside(rows, i)) {
    const double there = rows[k].as_read.indicated_deg - rows[k].view.left_deg;
    if (std::fabs(wrap_180_deg(there - expected)) > 1.0) neighbours.push_back(there);
  }
  GrossSuspect out{{i},
                   {1.0},
                   causes_of(rows[i].as_read, expected, neighbours),
                   kWrongReading / (1.0 - kWrongReading)};
  // Where another compass looks on, another station is no matter of one reading.
  if (witnessed) {
    std::erase_if(out.causes,
                  [](const GrossCause& c) { return std::string_view{c.name} == kOtherStation; });
  }
  return out;
}

GrossSuspect suspect_stay(const std::vector<JointRow>& rows, const std::vector<std::size_t>& on) {
  GrossSuspect out{on, {}, {}, kWrongMark / (1.0 - kWrongMark)};
  for (const std::size_t i : on) out.ways.push_back(1.0 / rows[i].view.along);
  for (const std::size_t k : marks_beside(rows, on.front())) {
    const double gap =
        wrap_180_deg(rows[k].as_read.station_deg - rows[on.front()].as_read.station_deg);
    out.causes.push_back({kOtherStation, kNextMark, -gap});
  }
  return out;
}

}  // namespace

double GrossSuspect::free_share() const {
  double out = 1.0;
  for (const GrossCause& cause : causes) out -= cause.share;
  return std::max(out, 0.05);
}

bool GrossSuspect::touches(const GrossSuspect& other) const {
  return std::any_of(rows.begin(), rows.end(), [&](std::size_t row) {
    return std::find(other.rows.begin(), other.rows.end(), row) != other.rows.end();
  });
}

std::vector<GrossSuspect> gross_suspects(const std::vector<JointRow>& rows) {
  std::size_t visits = 0;
  for (const JointRow& row : rows) visits = std::max(visits, row.visit + 1);
  std::vector<std::vector<std::size_t>> on(visits);
  for (std::size_t i = 0; i < rows.size(); ++i) on[rows[i].visit].push_back(i);
  std::vector<GrossSuspect> out;
  for (std::size_t i = 0; i < rows.size(); ++i) {
    out.push_back(suspect_reading(rows, i, on[rows[i].visit].size() > 1));
  }
  for (const auto& together : on) {
    if (together.size() > 1) out.push_back(suspect_stay(rows, together));
  }
  return out;
}

}  // namespace qn
