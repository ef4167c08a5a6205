// SPDX-License-Identifier: Apache-2.0
#include "report/correction_numbers.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <string>
#include <vector>

#include "report/figure_words.h"
#include "report/plot_axes.h"

namespace qn {
namespace {

constexpr double kRow_pt = 11.8;

/// Five figures of the largest element; a matrix near one gets five decimals.
int matrix_decimals(const Matrix3& matrix) {
  double largest = 0.0;
  for (const auto& row : matrix) {
    for (const double value : row) largest = std::max(largest, std::fabs(value));
  }
  if (!(largest > 0.0) || !std::isfinite(largest)) return 5;
  return std::clamp(5 - static_cast<int>(std::floor(std::log10(largest))), 2, 9);
}

/// One decimal more than the uncertainty needs, so that rounding adds nothing to it.
int offset_decimals(double sigma) {
  if (!(sigma > 0.0) || !std::isfinite(sigma)) return 3;
  return std::clamp(1 - static_cast<int>(std::floor(std::log10(sigma))), 1, 4);
}

struct Table {
  std::vector<std::string> heads;
  std::array<std::vector<std::string>, 3> rows;
  std::vector<double> rights;  // share of the width at which each column ends
};

Table table_of(const SensorFit& fit) {
  const SensorCorrection& c = *fit.correction;
  const bool counts = fit.raw_unit == FieldUnit::counts;
  static constexpr std::array<const char*, 3> kAxes = {"x", "y", "z"};
  const int decimals = matrix_decimals(c.matrix);
  const double least_sigma = *std::min_element(c.offset_sigma_uT.begin(), c.offset_sigma_uT.end());
  const int offset_places = offset_decimals(least_sigma);
  Table table;
  table.heads = {"", counts ? "matrix, µT per count" : "matrix", "", "", "offset, µT", "1 sigma"};
  table.rights = {0.05, 0.24, 0.43, 0.62, 0.82, 1.0};
  if (counts) {
    table.heads.insert(table.heads.begin() + 4, "offset, raw");
    table.rights = {0.04, 0.20, 0.36, 0.52, 0.70, 0.87, 1.0};
  }
  for (std::size_t i = 0; i < 3; ++i) {
    auto& row = table.rows[i];
    row.push_back(kAxes[i]);
    for (const double value : c.matrix[i]) row.push_back(number_words(value, decimals));
    if (counts) row.push_back(number_words(c.offset_raw[i], 1));
    row.push_back(number_words(c.offset_uT[i], offset_places));
    row.push_back(number_words(c.offset_sigma_uT[i], offset_places));
  }
  return table;
}

void draw_table(PageCanvas& canvas, const PageBox& box, const Table& table) {
  const TextStyle figures{.size_pt = 8.0};
  const auto right_of = [&](std::size_t k) { return box.left + table.rights[k] * box.width(); };
  const auto room_of = [&](std::size_t k) {
    return k == 0 ? 12.0 : right_of(k) - right_of(k - 1) - 4.0;
  };
  double baseline = box.top + 9.0;
  for (std::size_t k = 0; k < table.heads.size(); ++k) {
    if (k == 1) {  // one head over the matrix's three columns
      canvas.label({right_of(0) + 8.0, baseline}, table.heads[k], axis_words());
    } else {
      canvas.label({right_of(k), baseline}, table.heads[k], axis_words(), Anchor::right,
                   room_of(k));
    }
  }
  canvas.line({box.left, baseline + 3.2}, {box.right, baseline + 3.2},
              {ink::kOutline, kHair_pt, Dash::solid});
  for (const auto& row : table.rows) {
    baseline += kRow_pt;
    for (std::size_t k = 0; k < row.size(); ++k) {
      if (k == 0) {
        canvas.label({box.left, baseline}, row[k], strong_axis_words());
      } else {
        canvas.label({right_of(k), baseline}, row[k], figures, Anchor::right, room_of(k));
      }
    }
    canvas.line({box.left, baseline + 3.2}, {box.right, baseline + 3.2},
                {ink::kRule, kHair_pt, Dash::solid});
  }
}

std::string correlation_words(double seconds) {
  if (seconds <= 0.0) return "none seen";
  return number_words(seconds, seconds < 1.0 ? 2 : 1) + " s";
}

std::string condition_words(double condition) {
  if (condition > 1e6) return "over a million";
  return number_words(condition, condition < 100.0 ? 1 : 0);
}

void draw_noise(PageCanvas& canvas, const PageBox& box, const SensorFit& fit) {
  const std::array<std::array<std::string, 2>, 4> lines = {{
      {"noise of one sample, 1 sigma", number_words(fit.noise.sigma_uT, 3) + " µT"},
      {"noise remembers itself for", correlation_words(fit.noise.correlation_time_s)},
      {"bands widened for longer memory", number_words(fit.noise.band_inflation, 2) + " times"},
      {"condition (large: directions missing)", condition_words(fit.condition)},
  }};
  double baseline = box.top + 9.0;
  for (const auto& [name, value] : lines) {
    const double value_width = canvas.label_width(value, {.size_pt = 8.0});
    canvas.label({box.left, baseline}, name, axis_words(), Anchor::left,
                 box.width() - value_width - 6.0);
    canvas.label({box.right, baseline}, value, {.size_pt = 8.0}, Anchor::right);
    canvas.line({box.left, baseline + 3.2}, {box.right, baseline + 3.2},
                {ink::kRule, kHair_pt, Dash::solid});
    baseline += kRow_pt;
  }
}

}  // namespace

double correction_numbers(PageCanvas& canvas, const PageBox& box, const SensorFit& fit) {
  if (!fit.correction) return kCorrectionNumbers_pt;
  const double split = box.left + 0.62 * box.width();
  draw_table(canvas, {box.left, box.top, split - 9.0, box.bottom}, table_of(fit));
  draw_noise(canvas, {split + 9.0, box.top, box.right, box.bottom}, fit);
  return kCorrectionNumbers_pt;
}

}  // namespace qn
