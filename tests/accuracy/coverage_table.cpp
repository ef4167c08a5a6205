// SPDX-License-Identifier: Apache-2.0
#include "accuracy/coverage_table.h"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <limits>

namespace qn::accuracy {
namespace {

std::string number(const char* pattern, double value) {
  if (!std::isfinite(value)) return "-";
  char text[64];
  std::snprintf(text, sizeof text, pattern, value);
  return text;
}

double standard_error(std::size_t cases) {
  return std::sqrt(0.95 * 0.05 / static_cast<double>(std::max<std::size_t>(cases, 1)));
}

}  // namespace

void Coverage::add(const Reading& reading) {
  ++cases;
  // A band that is not a number holds nothing: counted as a miss on both sides would be double, so
  // as one below.
  if (!(reading.truth >= reading.lo)) {
    ++below;
  } else if (!(reading.truth <= reading.hi)) {
    ++above;
  }
  sum_width += reading.hi - reading.lo;
  if (std::isfinite(reading.bound) && !std::isnan(reading.error)) {
    ++with_bound;
    sum_error_squared += reading.error * reading.error;
    sum_bound_squared += reading.bound * reading.bound;
    sum_bound_fourth += std::pow(reading.bound, 4);
    if (!reading.carried) {
      ++not_carried;
      sum_ratio_squared += std::pow(reading.error / reading.bound, 2);
    }
  }
}

double Coverage::share() const {
  return static_cast<double>(cases - below - above) / static_cast<double>(cases);
}

double Coverage::mean_width() const { return sum_width / static_cast<double>(cases); }

double Coverage::rms_over_bound() const {
  if (with_bound == 0) return std::numeric_limits<double>::quiet_NaN();
  return std::sqrt(sum_error_squared / sum_bound_squared);
}

double Coverage::case_by_case() const {
  if (not_carried == 0) return std::numeric_limits<double>::quiet_NaN();
  return std::sqrt(sum_ratio_squared / static_cast<double>(not_carried));
}

// A sum of squares of normals with variances b^2 has the variance 2 sum b^4.
double Coverage::largest_rms_ratio() const {
  const double sd = 0.5 * std::sqrt(2.0 * sum_bound_fourth) / sum_bound_squared;
  return std::max(gate::kRatio, 1.0 + gate::kStandardErrors * sd);
}

double Coverage::largest_case_ratio() const {
  const double sd = 1.0 / std::sqrt(2.0 * static_cast<double>(not_carried));
  return std::max(gate::kRatio, 1.0 + gate::kStandardErrors * sd);
}

double Coverage::lowest_allowed() const {
  return cases >= gate::kMany ? gate::kLow : 0.95 - gate::kStandardErrors * standard_error(cases);
}

double Coverage::highest_allowed() const {
  return cases >= gate::kMany ? gate::kHigh
                              : std::min(1.0, 0.95 + gate::kStandardErrors * standard_error(cases));
}

bool Coverage::coverage_holds() const {
  return share() >= lowest_allowed() && share() <= highest_allowed();
}

bool Coverage::ratio_holds() const {
  return (with_bound == 0 || rms_over_bound() <= largest_rms_ratio()) &&
         (not_carried < gate::kFewest || case_by_case() <= largest_case_ratio());
}

void CoverageTable::add(const Reading& reading) {
  if (rows_.find(reading.quantity) == rows_.end()) order_.push_back(reading.quantity);
  rows_[reading.quantity].add(reading);
}

void CoverageTable::add_refusal(const std::string& reason) { ++refusals_[reason]; }

void CoverageTable::add_check(const std::string& sentence, bool holds) {
  checks_.emplace_back(sentence, holds);
}

std::size_t CoverageTable::refusals() const {
  std::size_t sum = 0;
  for (const auto& [reason, count] : refusals_) sum += count;
  return sum;
}

bool CoverageTable::holds() const {
  const bool rows = std::all_of(rows_.begin(), rows_.end(), [](const auto& row) {
    return row.second.coverage_holds() && row.second.ratio_holds();
  });
  const bool checks =
      std::all_of(checks_.begin(), checks_.end(), [](const auto& check) { return check.second; });
  return rows && checks && !rows_.empty();
}

const Coverage* CoverageTable::find(const std::string& quantity) const {
  const auto found = rows_.find(quantity);
  return found == rows_.end() ? nullptr : &found->second;
}

std::string CoverageTable::to_markdown(const std::string& name, const std::string& how,
                                       std::size_t cases) const {
  std::string text = "## " + name + "\n\n" + std::to_string(cases) + " cases. " + how + "\n\n";
  text +=
      "| quantity | cases | holds the truth | allowed | truth below | above | mean width | rms "
      "error / rms bound | case by case | gate |\n"
      "|---|---:|---:|---|---:|---:|---:|---:|---:|---|\n";
  for (const std::string& quantity : order_) {
    const Coverage& row = rows_.at(quantity);
    const std::string verdict = !row.coverage_holds() ? "**coverage fails**"
                                : !row.ratio_holds()  ? "**ratio fails**"
                                                      : "holds";
    text += "| " + quantity + " | " + std::to_string(row.cases) + " | " +
            number("%.1f %%", 100.0 * row.share()) + " | " +
            number("%.1f", 100.0 * row.lowest_allowed()) + " to " +
            number("%.1f %%", 100.0 * row.highest_allowed()) + " | " + std::to_string(row.below) +
            " | " + std::to_string(row.above) + " | " + number("%.4g", row.mean_width()) + " | " +
            number("%.3f", row.rms_over_bound()) + " | " + number("%.3f", row.case_by_case()) +
            " | " + verdict + " |\n";
  }
  text += "\nCases without an answer: " + std::to_string(refusals()) + ".\n";
  for (const auto& [reason, count] : refusals_) {
    text += "- " + std::to_string(count) + ": " + reason + "\n";
  }
  for (const auto& [sentence, holds] : checks_) {
    text += "\n" + sentence + (holds ? " Holds.\n" : " **Fails.**\n");
  }
  return text + "\n";
}

}  // namespace qn::accuracy
