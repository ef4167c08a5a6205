// SPDX-License-Identifier: Apache-2.0
#include "report/forecast_table.h"

#include <algorithm>
#include <cmath>
#include <string>
#include <tuple>

#include "report/figure_words.h"
#include "report/plot_axes.h"

namespace qn {
namespace {

constexpr double kHeadRow_pt = 12.0;
constexpr double kLeastRow_pt = 10.6;
constexpr double kMostRow_pt = 13.0;
constexpr std::size_t kMostColumns = 3;

std::vector<double> distinct(const std::vector<AttitudeForecast>& forecast,
                             double AttitudeForecast::*angle) {
  std::vector<double> values;
  values.reserve(forecast.size());
  for (const AttitudeForecast& f : forecast) values.push_back(f.*angle);
  std::sort(values.begin(), values.end());
  values.erase(std::unique(values.begin(), values.end()), values.end());
  return values;
}

std::string angle_words(double deg) {
  return number_words(deg, std::fabs(deg - std::round(deg)) < 0.05 ? 0 : 1) + "°";
}

void rule(PageCanvas& canvas, const PageBox& box, double y, Ink ink) {
  canvas.line({box.left, y}, {box.right, y}, {ink, kHair_pt, Dash::solid});
}

struct Grid {
  std::vector<double> banks, pitches;
};

void draw_grid(PageCanvas& canvas, const PageBox& box, const Grid& grid,
               const std::vector<AttitudeForecast>& forecast) {
  const double row =
      std::min(kMostRow_pt, (box.height() - kHeadRow_pt) / static_cast<double>(grid.banks.size()));
  const double first_column = 46.0;
  const double column = (box.width() - first_column) / static_cast<double>(grid.pitches.size());
  const auto right_of = [&](std::size_t k) {
    return box.left + first_column + column * static_cast<double>(k + 1);
  };
  canvas.label({box.left, box.top + 9.0}, "bank", axis_words());
  for (std::size_t k = 0; k < grid.pitches.size(); ++k) {
    canvas.label({right_of(k), box.top + 9.0}, "pitch " + angle_words(grid.pitches[k]),
                 axis_words(), Anchor::right, column - 4.0);
  }
  rule(canvas, box, box.top + kHeadRow_pt, ink::kOutline);
  for (std::size_t i = 0; i < grid.banks.size(); ++i) {
    const double top = box.top + kHeadRow_pt + row * static_cast<double>(i);
    const double baseline = top + row / 2.0 + 3.0;
    canvas.label({box.left, baseline}, angle_words(grid.banks[i]), axis_words());
    rule(canvas, box, top + row, ink::kRule);
    for (const AttitudeForecast& f : forecast) {
      if (f.bank_deg != grid.banks[i]) continue;
      const auto at = std::find(grid.pitches.begin(), grid.pitches.end(), f.pitch_deg);
      const auto k = static_cast<std::size_t>(at - grid.pitches.begin());
      canvas.label({right_of(k), baseline}, band_words(f.worst_95),
                   {.size_pt = kAxisWords_pt, .bold = true}, Anchor::right, column - 4.0);
    }
  }
}

void draw_worst(PageCanvas& canvas, const PageBox& box, std::vector<AttitudeForecast> forecast) {
  std::sort(forecast.begin(), forecast.end(),
            [](const AttitudeForecast& a, const AttitudeForecast& b) {
              return std::tie(a.worst_95.hi, a.bank_deg, a.pitch_deg) >
                     std::tie(b.worst_95.hi, b.bank_deg, b.pitch_deg);
            });
  const double room = box.height() - kHeadRow_pt;
  std::size_t rows = static_cast<std::size_t>(std::max(1.0, std::floor(room / kLeastRow_pt)));
  const bool more = rows < forecast.size();
  if (more && rows > 1) --rows;
  rows = std::min(rows, forecast.size());
  canvas.label({box.left, box.top + 9.0}, "bank, pitch: the worst first", axis_words());
  rule(canvas, box, box.top + kHeadRow_pt, ink::kOutline);
  double top = box.top + kHeadRow_pt;
  for (std::size_t i = 0; i < rows; ++i) {
    const AttitudeForecast& f = forecast[i];
    canvas.label({box.left, top + 8.4}, angle_words(f.bank_deg) + ", " + angle_words(f.pitch_deg),
                 axis_words());
    canvas.label({box.right, top + 8.4}, band_words(f.worst_95),
                 {.size_pt = kAxisWords_pt, .bold = true}, Anchor::right);
    top += kLeastRow_pt;
    rule(canvas, box, top, ink::kRule);
  }
  if (more && top + kLeastRow_pt <= box.bottom + 0.5) {
    canvas.label({box.left, top + 8.4},
                 "and " + std::to_string(forecast.size() - rows) + " more, see the JSON",
                 {.size_pt = 8.0, .ink = ink::kSecondWords, .bold = true});
  }
}

}  // namespace

void forecast_table(PageCanvas& canvas, const PageBox& box,
                    const std::vector<AttitudeForecast>& forecast) {
  if (forecast.empty()) return;
  const Grid grid{distinct(forecast, &AttitudeForecast::bank_deg),
                  distinct(forecast, &AttitudeForecast::pitch_deg)};
  const double rows_pt = kLeastRow_pt * static_cast<double>(grid.banks.size());
  const bool is_table = grid.banks.size() * grid.pitches.size() == forecast.size() &&
                        grid.pitches.size() <= kMostColumns &&
                        kHeadRow_pt + rows_pt <= box.height();
  if (is_table) {
    draw_grid(canvas, box, grid, forecast);
  } else {
    draw_worst(canvas, box, forecast);
  }
}

}  // namespace qn
