// SPDX-License-Identifier: Apache-2.0
#include "report/air_leg_rows.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <optional>
#include <string>
#include <utility>

#include "report/figure_words.h"
#include "report/sheet_columns.h"
#include "report/sheet_frame.h"

namespace qn {
namespace {

constexpr double kLegRow_pt = 13.0;
constexpr double kShortStretch_s = 20.0;  // turns and settling, counted and not listed
constexpr double kFlyRow_pt = 34.0, kFlyHeads_pt = 15.0;

std::string heading_or_dash(const std::optional<double>& deg) {
  return deg ? heading_words(*deg) : "–";
}

std::string plus_or_dash(const std::optional<double>& value) {
  if (!value) return "–";
  const std::string words = number_words(*value, 1);
  return *value >= 0.05 ? "+" + words : words;
}

std::string name_of_leg(const AirLeg& leg, std::size_t i) {
  return leg.name.empty() ? std::to_string(i + 1) : leg.name;
}

// Right ends of the columns after the name, as shares of the width.
constexpr std::array<double, 6> kLegColumn = {0.20, 0.31, 0.42, 0.55, 0.66, 0.78};

void leg_row(PageCanvas& canvas, const PageBox& box, const std::vector<std::string>& cells,
             const TextStyle& style) {
  const double y = box.bottom - 3.5;
  canvas.label({box.left, y}, cells[0], style, Anchor::left, 0.13 * box.width());
  for (std::size_t i = 1; i < cells.size() && i <= kLegColumn.size(); ++i) {
    canvas.label({box.left + kLegColumn[i - 1] * box.width(), y}, cells[i], style, Anchor::right);
  }
  canvas.line({box.left, box.bottom}, {box.right, box.bottom}, {ink::kRule, kHair_pt, Dash::solid});
}

}  // namespace

void air_leg_rows(SheetFlow& flow, const std::vector<AirLeg>& legs,
                  const std::vector<AirLegResult>& results) {
  if (legs.empty()) return;
  flow.need(kSectionHead_pt + 3.0 * kLegRow_pt);
  PageCanvas& canvas = flow.canvas();
  section_head(canvas, flow.take(kSectionHead_pt), "The legs",
               "degrees and knots · residual: deviation seen less fitted");
  const TextStyle head{.size_pt = 8.0, .ink = ink::kSecondWords};
  leg_row(canvas, flow.take(kLegRow_pt),
          {"leg", "indicated", "track", "speed", "true heading", "air, kt", "residual"}, head);
  for (std::size_t i = 0; i < legs.size() && i < results.size(); ++i) {
    const AirLeg& leg = legs[i];
    const AirLegResult& r = results[i];
    std::vector<std::string> cells{name_of_leg(leg, i), heading_or_dash(leg.indicated_deg),
                                   heading_or_dash(leg.track_deg),
                                   number_words(leg.groundspeed_kt, 1)};
    const bool solved = r.used || r.residual_deg.has_value();  // set aside: seen all the same
    if (solved) {
      cells.push_back(heading_or_dash(r.true_heading_deg));
      cells.push_back(plus_or_dash(r.along_kt));
      cells.push_back(plus_or_dash(r.residual_deg));
    }
    const PageBox box = flow.take(kLegRow_pt);
    leg_row(canvas, box, cells, {.size_pt = 9.5});
    if (!r.used) {
      const double left = box.left + (solved ? 0.80 : 0.45) * box.width();
      canvas.label({left, box.bottom - 3.5},
                   solved ? "set aside" : "not used: " + paper_words(r.why_not),
                   {.size_pt = 9.5, .ink = ink::kUnproven}, Anchor::left, box.right - left);
    }
  }
  flow.skip(kApart_pt);
}

void air_plan_rows(SheetFlow& flow, const std::vector<PlannedLeg>& legs, bool tracks_true) {
  PageCanvas& canvas = flow.canvas();
  const TextStyle small{.size_pt = 9.0, .ink = ink::kSecondWords};
  const auto column = [&](const PageBox& box, std::size_t i) {
    constexpr std::array<double, 4> kBox = {0.45, 0.63, 0.81, 1.0};
    return PageBox{box.left + kBox[i] * box.width() - 0.165 * box.width(), box.top + 4.0,
                   box.left + kBox[i] * box.width(), box.bottom - 4.0};
  };
  section_head(canvas, flow.take(kSectionHead_pt), "Fly these headings by the display",
               tracks_true ? "tracks are true" : "tracks are magnetic");
  const PageBox heads = flow.take(kFlyHeads_pt);
  constexpr std::array<const char*, 4> kNames = {"heading shown", "track", "ground speed",
                                                 "airspeed"};
  for (std::size_t i = 0; i < kNames.size(); ++i) {
    canvas.label({column(heads, i).left, heads.bottom - 3.0}, kNames[i], small);
  }
  for (std::size_t k = 0; k < legs.size(); ++k) {
    const PlannedLeg& leg = legs[k];
    const PageBox box = flow.take(kFlyRow_pt);
    const double y = box.top + 23.0;
    canvas.label({box.left + 16.0, y}, std::to_string(k + 1),
                 {.size_pt = 13.0, .ink = ink::kSecondWords}, Anchor::right);
    canvas.label({box.left + 24.0, y}, heading_words(leg.indicated_deg),
                 {.size_pt = 20.0, .condensed = false, .bold = true});
    canvas.label({box.left + 76.0, y - 5.0}, "about " + heading_words(leg.track_deg) + ", ", small);
    canvas.label({box.left + 76.0, y + 5.0}, number_words(leg.groundspeed_kt, 0) + " kt", small);
    for (std::size_t i = 0; i < kNames.size(); ++i) {
      canvas.frame(column(box, i), {ink::kOutline, kLine_pt, Dash::solid});
    }
    canvas.line({box.left, box.bottom}, {box.right, box.bottom},
                {ink::kRule, kHair_pt, Dash::solid});
  }
  flow.skip(kApart_pt);
}

std::vector<std::string> why_left_out(const std::vector<FlightStretch>& stretches) {
  std::vector<std::string> out;
  std::vector<std::pair<std::string, std::size_t>> shorter;
  for (const FlightStretch& s : stretches) {
    if (s.used) continue;
    if (s.to_s - s.from_s >= kShortStretch_s) {
      out.push_back(fmt::format("{:.0f} to {:.0f} s: {}.", s.from_s, s.to_s, s.why_not));
      continue;
    }
    const auto same = std::find_if(shorter.begin(), shorter.end(),
                                   [&](const auto& one) { return one.first == s.why_not; });
    if (same == shorter.end()) {
      shorter.emplace_back(s.why_not, 1);
    } else {
      ++same->second;
    }
  }
  for (const auto& [why_not, count] : shorter) {
    out.push_back(fmt::format("{} of less than {:.0f} s: {}.",
                              count == 1 ? std::string{"One"} : std::to_string(count),
                              kShortStretch_s, why_not));
  }
  return out;
}

std::vector<std::string> doubt_lines(const std::vector<DoubtfulLeg>& doubts) {
  std::vector<std::string> out;
  for (const DoubtfulLeg& d : doubts) out.push_back(d.what);
  return out;
}

}  // namespace qn
