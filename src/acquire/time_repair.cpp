// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>
#include <functional>

#include "acquire/time_repair_internal.h"
#include "vocab/count_of.h"

namespace qn {
namespace {

constexpr std::size_t kGlitchRows = 5;     // so many rows out of order are a slip, not a restart
constexpr double kMostBackSteps = 0.1;     // share of rows; more is no order at all
constexpr double kSmallestStretch = 0.25;  // share of rows that the kept stretch must hold
constexpr double kGapFactor = 5.0;
constexpr std::size_t kMostIntervals = 1000003;
constexpr double kEvenSpread = 2.0;  // 95th over 5th percentile of the intervals

struct Stretch {
  std::vector<std::size_t> rows;
  std::size_t duplicates = 0;
  std::size_t first_duplicate = 0;
};

/// Splits the rows where the clock starts again and drops single rows out of order.
class Sorter {
 public:
  explicit Sorter(const std::vector<double>& time_s) : time_s_{time_s} {}

  void run() {
    stretches_.emplace_back();
    for (std::size_t i = 0; i < time_s_.size();) i = place(i);
  }

  std::vector<Stretch> stretches_;
  std::size_t slips_ = 0;  ///< rows left out because they lay back or ahead
  std::size_t first_slip_ = 0;

 private:
  std::size_t place(std::size_t i) {
    Stretch& now = stretches_.back();
    if (now.rows.empty() || time_s_[i] > time_s_[now.rows.back()]) {
      now.rows.push_back(i);
      return i + 1;
    }
    const double last = time_s_[now.rows.back()];
    if (time_s_[i] == last) {
      if (now.duplicates++ == 0) now.first_duplicate = i;
      return i + 1;
    }
    std::size_t back = i;
    while (back < time_s_.size() && back - i < kGlitchRows && time_s_[back] <= last) ++back;
    if (ahead_rows(now, time_s_[i]) <= std::min(back - i, kGlitchRows)) {
      // Fewer rows lie ahead than back: those ahead are the slip (a clock that jumped for a
      // moment).
      while (!now.rows.empty() && time_s_[now.rows.back()] > time_s_[i]) {
        slip(now.rows.back());
        now.rows.pop_back();
      }
      return i;
    }
    if (back - i < kGlitchRows) {
      for (; i < back; ++i) slip(i);
      return i;
    }
    stretches_.emplace_back();
    return i;
  }

  std::size_t ahead_rows(const Stretch& stretch, double time) const {
    std::size_t count = 0;
    for (auto row = stretch.rows.rbegin(); row != stretch.rows.rend() && count <= kGlitchRows;
         ++row, ++count) {
      if (time_s_[*row] <= time) return count;
    }
    return kGlitchRows + 1;
  }

  void slip(std::size_t row) {
    first_slip_ = slips_ == 0 ? row : std::min(first_slip_, row);
    ++slips_;
  }

  const std::vector<double>& time_s_;
};

std::size_t count_back_steps(const std::vector<double>& time_s, std::size_t& first) {
  std::size_t count = 0;
  for (std::size_t i = 1; i < time_s.size(); ++i) {
    if (time_s[i] < time_s[i - 1] && count++ == 0) first = i;
  }
  return count;
}

double percentile(std::vector<double>& values, double share) {
  const auto index = static_cast<std::ptrdiff_t>(share * static_cast<double>(values.size() - 1));
  std::nth_element(values.begin(), values.begin() + index, values.end());
  return values[static_cast<std::size_t>(index)];
}

void remark_on_restarts(const std::vector<double>& time_s, const std::vector<Stretch>& stretches,
                        const Stretch& longest, const LineIndex& lines, RecordingTally& tally) {
  const std::size_t restart = stretches[1].rows.front();
  const std::size_t before = stretches[0].rows.back();
  tally.remarks.push_back(fmt::format(
      "The time starts again {} (first in line {}, from {:g} s back to {:g} s). Only the longest "
      "stretch, lines {} to {}, was used; split the file to use another.",
      count_of(stretches.size() - 1, "time", "times"), lines.line_of(restart), time_s[before],
      time_s[restart], lines.line_of(longest.rows.front()), lines.line_of(longest.rows.back())));
}

}  // namespace

Result<std::optional<std::vector<std::size_t>>> rows_in_time_order(
    const std::vector<double>& time_s, const LineIndex& lines, const std::string& file_name,
    RecordingTally& tally) {
  const auto stuck = std::adjacent_find(time_s.begin(), time_s.end(), std::greater_equal<>{});
  if (stuck == time_s.end()) return std::optional<std::vector<std::size_t>>{};
  const auto rows = static_cast<double>(time_s.size());
  std::size_t first_back = 0;
  const std::size_t back_steps = count_back_steps(time_s, first_back);
  if (back_steps > 2 && static_cast<double>(back_steps) > kMostBackSteps * rows) {
    return Error{ErrorKind::BadInput,
                 fmt::format("the rows are not in order of time: it goes back {} times in {} rows",
                             back_steps, time_s.size()),
                 fmt::format("{}, line {}", file_name, lines.line_of(first_back)),
                 "times that increase from row to row",
                 "sort the file by time, or name another time column with --map time_s=\"COLUMN\""};
  }
  Sorter sorter{time_s};
  sorter.run();
  auto& stretches = sorter.stretches_;
  auto longest = std::max_element(
      stretches.begin(), stretches.end(),
      [](const Stretch& a, const Stretch& b) { return a.rows.size() < b.rows.size(); });
  if (stretches.size() > 1 && static_cast<double>(longest->rows.size()) < kSmallestStretch * rows) {
    return Error{
        ErrorKind::BadInput,
        fmt::format("the time starts again {} times, and no stretch holds a quarter of the "
                    "rows",
                    stretches.size() - 1),
        fmt::format("{}, line {}", file_name, lines.line_of(stretches[1].rows.front())),
        "one recording with one running clock",
        "split the file where the time starts again and use one part"};
  }
  if (sorter.slips_ > 0) {
    tally.remarks.push_back(fmt::format(
        "{} out of order in time and left out, the first in line {}.",
        count_of(sorter.slips_, "row was", "rows were"), lines.line_of(sorter.first_slip_)));
  }
  tally.backward_times = sorter.slips_;
  for (const Stretch& stretch : stretches) {
    if (&stretch != &*longest) tally.backward_times += stretch.rows.size() + stretch.duplicates;
  }
  if (stretches.size() > 1) remark_on_restarts(time_s, stretches, *longest, lines, tally);
  tally.duplicate_times = longest->duplicates;
  if (longest->duplicates > 0) {
    tally.remarks.push_back(fmt::format(
        "{} the time of the row before and {} left out, the first in line {}.{}",
        count_of(longest->duplicates, "row repeats", "rows repeat"),
        longest->duplicates == 1 ? "was" : "were", lines.line_of(longest->first_duplicate),
        static_cast<double>(longest->duplicates) > 0.3 * rows
            ? " The recorder writes the time too coarsely: give it more decimals."
            : ""));
  }
  return std::optional{std::move(longest->rows)};
}

void describe_intervals(const std::vector<double>& time_s, RecordingTally& tally) {
  const std::size_t count = time_s.size() - 1;
  const auto interval = [&](std::size_t i) { return time_s[i + 1] - time_s[i]; };
  // Of a very long recording every n-th interval tells the usual one just as well.
  const std::size_t every = count / kMostIntervals + 1;
  std::vector<double> some;
  some.reserve(count / every + 1);
  for (std::size_t i = 0; i < count; i += every) some.push_back(interval(i));
  tally.median_interval_s = percentile(some, 0.5);
  std::size_t longest = 0;
  for (std::size_t i = 0; i < count; ++i) {
    if (interval(i) <= kGapFactor * tally.median_interval_s) continue;
    ++tally.gaps;
    if (interval(i) > tally.longest_gap_s) {
      tally.longest_gap_s = interval(i);
      longest = i;
    }
  }
  if (tally.gaps > 0) {
    tally.remarks.push_back(fmt::format(
        "The recording has {} longer than five times its usual interval of {:.4g} s; the longest, "
        "{:.4g} s, begins at {:.6g} s.",
        count_of(tally.gaps, "pause", "pauses"), tally.median_interval_s, tally.longest_gap_s,
        time_s[longest]));
  }
  const double low = percentile(some, 0.05);
  const double high = percentile(some, 0.95);
  if (some.size() >= 20 && high > kEvenSpread * low) {
    tally.remarks.push_back(fmt::format(
        "The rate is not even: nine tenths of the intervals lie between {:.4g} s and {:.4g} s.",
        low, high));
  }
}

}  // namespace qn
