// SPDX-License-Identifier: Apache-2.0
#include "accuracy/run_coverage.h"

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

std::pair<double, double> allowed(const RowGate& gate, double standard_error) {
  const double window = gate::kStandardErrors * standard_error;
  return {std::min(gate.least, gate.centre - window), std::max(gate.most, gate.centre + window)};
}

}  // namespace

double RunCoverage::Row::share() const { return sum_share / static_cast<double>(runs); }

double RunCoverage::Row::standard_error() const {
  const double n = static_cast<double>(runs);
  if (runs < 2) return 0.5;
  const double variance = (sum_share_squared - sum_share * sum_share / n) / (n - 1.0);
  return std::sqrt(std::max(variance, 0.0) / n);
}

double RunCoverage::Row::rms_over_bound() const {
  if (with_bound == 0) return std::numeric_limits<double>::quiet_NaN();
  return std::sqrt(sum_error_squared / sum_bound_squared);
}

double RunCoverage::Row::case_by_case() const {
  if (with_bound == 0) return std::numeric_limits<double>::quiet_NaN();
  return std::sqrt(sum_ratio_squared / static_cast<double>(with_bound));
}

double RunCoverage::Row::typical() const {
  if (ratios.empty()) return std::numeric_limits<double>::quiet_NaN();
  std::vector<double> sorted = ratios;
  const auto middle = sorted.begin() + static_cast<std::ptrdiff_t>(sorted.size() / 2);
  std::nth_element(sorted.begin(), middle, sorted.end());
  constexpr double kNormalMedian = 0.6744897501960817;
  return *middle / kNormalMedian;
}

void RunCoverage::add_run(const std::vector<Reading>& readings) {
  ++runs_;
  std::map<std::string, std::pair<double, double>> in_run;  // held, all
  for (const Reading& reading : readings) {
    if (rows_.find(reading.quantity) == rows_.end()) order_.push_back(reading.quantity);
    Row& row = rows_[reading.quantity];
    ++row.readings;
    const bool below = !(reading.truth >= reading.lo);
    const bool above = !below && !(reading.truth <= reading.hi);
    row.below += below ? 1U : 0U;
    row.above += above ? 1U : 0U;
    in_run[reading.quantity].first += below || above ? 0.0 : 1.0;
    in_run[reading.quantity].second += 1.0;
    if (!std::isfinite(reading.bound) || !std::isfinite(reading.error)) continue;
    ++row.with_bound;
    row.sum_error_squared += reading.error * reading.error;
    row.sum_bound_squared += reading.bound * reading.bound;
    row.ratios.push_back(std::abs(reading.error / reading.bound));
    row.sum_ratio_squared += std::pow(reading.error / reading.bound, 2);
  }
  for (const auto& [quantity, share] : in_run) {
    Row& row = rows_[quantity];
    ++row.runs;
    row.sum_share += share.first / share.second;
    row.sum_share_squared += std::pow(share.first / share.second, 2);
  }
}

void RunCoverage::add_refusal(const std::string& reason) { ++refusals_[reason]; }

void RunCoverage::add_check(const std::string& sentence, bool holds) {
  checks_.emplace_back(sentence, holds);
}

void RunCoverage::set_gate(const std::string& quantity, const RowGate& gate) {
  gates_[quantity] = gate;
}

std::size_t RunCoverage::refusals() const {
  std::size_t sum = 0;
  for (const auto& [reason, count] : refusals_) sum += count;
  return sum;
}

RowGate RunCoverage::gate_of(const std::string& quantity) const {
  const auto found = gates_.find(quantity);
  return found == gates_.end() ? RowGate{} : found->second;
}

std::string RunCoverage::trouble_with(const std::string& quantity) const {
  const Row& row = rows_.at(quantity);
  const RowGate gate = gate_of(quantity);
  const auto [least, most] = allowed(gate, row.standard_error());
  if (row.share() < least || row.share() > most) return "**coverage fails**";
  if (gate.ratio > 0.0 && row.with_bound > 0 &&
      (row.rms_over_bound() > gate.ratio || row.case_by_case() > gate.ratio)) {
    return "**ratio fails**";
  }
  return {};
}

bool RunCoverage::holds() const {
  const bool rows = std::all_of(order_.begin(), order_.end(), [this](const std::string& quantity) {
    return trouble_with(quantity).empty();
  });
  const bool checks =
      std::all_of(checks_.begin(), checks_.end(), [](const auto& check) { return check.second; });
  return rows && checks && !rows_.empty() && refusals_.empty();
}

const RunCoverage::Row* RunCoverage::find(const std::string& quantity) const {
  const auto found = rows_.find(quantity);
  return found == rows_.end() ? nullptr : &found->second;
}

std::string RunCoverage::to_markdown(const std::string& name, const std::string& how) const {
  std::string text = "## " + name + "\n\n" + std::to_string(runs_) + " runs. " + how + "\n";
  text +=
      "| quantity | runs | readings | holds the truth | standard error | allowed | truth below | "
      "above | rms error / rms bound | case by case | typical | allowed | gate |\n"
      "|---|---:|---:|---:|---:|---|---:|---:|---:|---:|---:|---|\n";
  for (const std::string& quantity : order_) {
    const Row& row = rows_.at(quantity);
    const RowGate gate = gate_of(quantity);
    const auto [least, most] = allowed(gate, row.standard_error());
    const std::string trouble = trouble_with(quantity);
    text += "| " + quantity + " | " + std::to_string(row.runs) + " | " +
            std::to_string(row.readings) + " | " + number("%.1f %%", 100.0 * row.share()) + " | " +
            number("%.2f", 100.0 * row.standard_error()) + " | " +
            number("%.1f to ", 100.0 * least) + number("%.1f %%", 100.0 * std::min(1.0, most)) +
            " | " + std::to_string(row.below) + " | " + std::to_string(row.above) + " | " +
            number("%.3f", row.rms_over_bound()) + " | " + number("%.3f", row.case_by_case()) +
            " | " + number("%.3f", row.typical()) + " | " +
            (gate.ratio > 0.0 ? number("%.2f", gate.ratio) : std::string{"-"}) + " | " +
            (trouble.empty() ? "holds" : trouble) + " |\n";
  }
  text += "\nRuns without an answer: " + std::to_string(refusals()) + ".\n";
  for (const auto& [reason, count] : refusals_) {
    text += "- " + std::to_string(count) + ": " + reason + "\n";
  }
  for (const auto& [sentence, holds] : checks_) {
    text += "\n- " + sentence + (holds ? " Holds." : " **Fails.**");
  }
  return text + "\n\n";
}

}  // namespace qn::accuracy
