// SPDX-License-Identifier: Apache-2.0
#include "report/air_sheet.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>

#include "report/air_leg_rows.h"
#include "report/coefficient_table.h"
#include "report/deviation_plot.h"
#include "report/figure_words.h"
#include "report/ground_velocity_plot.h"
#include "report/honest_bars.h"
#include "report/sheet_columns.h"
#include "report/sheet_flow.h"
#include "report/sheet_frame.h"
#include "report/sheet_opening.h"
#include "report/sheet_pages.h"
#include "vocab/letters.h"

namespace qn {
namespace {

constexpr double kVelocities_pt = 200.0, kAirCurve_pt = 160.0;
constexpr double kAirSignatures_pt = 31.0;  // what signature_lines takes
constexpr double kRadians = 0.017453292519943295;

std::string facts_of(const AirSheet& sheet) {
  const AirSolution& s = sheet.air;
  const auto used =
      std::count_if(s.legs.begin(), s.legs.end(), [](const AirLegResult& leg) { return leg.used; });
  std::string out = fmt::format("{} of {} legs used", used, sheet.legs.size());
  if (s.wind_known) {
    out += fmt::format("; wind {} kt from {}{}; true airspeed {} kt, 95 % {} to {}",
                       number_words(s.wind_kt, 1), heading_words(s.wind_from_deg),
                       s.wind_is_magnetic ? " magnetic" : "", number_words(s.tas_kt, 1),
                       number_words(s.tas_95_kt.first, 1), number_words(s.tas_95_kt.second, 1));
  }
  return out + (sheet.headings_true ? ". Deviation is true heading minus indicated, east positive."
                                    : ". Deviation is magnetic minus indicated, east positive.");
}

std::string found_in_air(const AirSolution& s) {
  if (!s.worst_known) {
    return s.wind_known ? "The wind is known; the largest deviation is not."
                        : "Wind and deviation are not known.";
  }
  return fmt::format("In flight the largest deviation is {}, on {}.",
                     degree_words(Angle::degrees(s.worst_deviation_deg)),
                     heading_words(s.worst_at_deg));
}

/// The plot and the table of a swing show what was found in the air as well.
SwingCompass as_compass(const AirSheet& sheet) {
  const AirSolution& s = sheet.air;
  SwingCompass c;
  c.solved = s.wind_known;
  c.curve = s.curve;
  c.supported = s.supported;
  c.band_95_deg = s.band_95_deg;
  for (const AirPoint& p : s.points) {
    c.points.push_back({p.indicated_deg, p.deviation_deg, p.lo_deg, p.hi_deg});
  }
  for (std::size_t i = 0; i < s.legs.size() && i < sheet.legs.size(); ++i) {
    const AirLeg& leg = sheet.legs[i];
    if (!leg.indicated_deg || !s.legs[i].residual_deg) continue;
    SwingObserved seen;
    seen.indicated_deg = *leg.indicated_deg;
    seen.deviation_deg = s.curve.deviation_deg(*leg.indicated_deg) + *s.legs[i].residual_deg;
    seen.used = s.legs[i].used;
    c.observed.push_back(seen);
  }
  return c;
}

GroundVelocities velocities_of(const AirSheet& sheet) {
  GroundVelocities out;
  const AirSolution& s = sheet.air;
  // The wind is told from true north where the variation is known; magnetic tracks are turned to
  // it.
  const double turn_deg = sheet.tracks_magnetic ? sheet.variation_deg.value_or(0.0) : 0.0;
  for (std::size_t i = 0; i < sheet.legs.size() && i < s.legs.size(); ++i) {
    const AirLeg& leg = sheet.legs[i];
    if (!leg.track_deg) continue;
    const double track = (*leg.track_deg + turn_deg) * kRadians;
    out.legs.push_back({leg.groundspeed_kt * std::sin(track), leg.groundspeed_kt * std::cos(track),
                        leg.name.empty() ? std::to_string(i + 1) : leg.name, s.legs[i].used});
  }
  if (s.wind_known) out.circle = WindCircle{s.wind_to_kt[0], s.wind_to_kt[1], s.tas_kt};
  out.north = sheet.tracks_magnetic && !sheet.variation_deg ? "N magnetic" : "N true";
  return out;
}

void largest_in_air(SheetFlow& flow, const AirSolution& s) {
  if (!s.worst_known) return;
  const HonestBar bar{
      .name = "Largest deviation",
      .why = "on heading " + heading_words(s.worst_at_deg),
      .size_95 = {Angle::degrees(s.worst_95_deg.first), Angle::degrees(s.worst_95_deg.second)},
      .estimate = Angle::degrees(s.worst_deviation_deg),
      .verdict = s.verdict.limit ? std::optional{s.verdict.state} : std::nullopt};
  const PageBox box = flow.take(honest_bars_height(1) + 2.0);
  honest_bars(flow.canvas(), {box.left, box.top}, box.width(), {bar}, s.verdict.limit);
  flow.skip(kApart_pt);
}

void velocities_and_numbers(SheetFlow& flow, const AirSheet& sheet, const SwingCompass& c) {
  PageCanvas& canvas = flow.canvas();
  const GroundVelocities seen = velocities_of(sheet);
  const PageBox box = flow.take(kSectionHead_pt + kVelocities_pt);
  const PageBox left = left_part(box, 0.5), right = right_part(box, 0.5);
  double top = section_head(canvas, left, "Velocity over the ground",
                            sheet.air.wind_known ? "ring: equal airspeed" : "");
  ground_velocity_plot(canvas, {left.left, top + 2.0, left.right, box.bottom}, seen);
  top = section_head(canvas, right, "Coefficients", c.exact() ? "exact, times 57.3" : "");
  coefficient_table(canvas, {right.left, top, right.right, box.bottom}, c);
  const AirSolution& s = sheet.air;
  std::string words;
  if (s.combination) {
    words = fmt::format("Of D and E this flight tells {} D {} {} E only: {}°, 1 sigma {}°. ",
                        number_words(s.combination->of_d, 2), s.combination->of_e < 0 ? "−" : "+",
                        number_words(std::fabs(s.combination->of_e), 2),
                        number_words(s.combination->value_deg, 1),
                        number_words(s.combination->sigma_deg, 1));
  }
  words += "A has sideslip, lubber line and variation in it: flight does not tell them apart.";
  canvas.paragraph({right.left, top + kCoefficientTable_pt + 8.0}, right.width(),
                   {.text = words, .style = {.size_pt = 8.5, .ink = ink::kSecondWords}});
  flow.skip(kApart_pt);
}

void curve_in_air(SheetFlow& flow, const AirSolution& s, const SwingCompass& c) {
  if (c.points.empty()) return;
  PageCanvas& canvas = flow.canvas();
  const PageBox box = flow.take(kSectionHead_pt + kAirCurve_pt);
  const double top = section_head(canvas, box, "Deviation over the indicated heading",
                                  "degrees · ring: a leg, dashed ring: not used · fill: 95 % band");
  deviation_plot(canvas, {box.left, top, box.right, box.bottom}, {{&c}, s.verdict.limit});
  flow.skip(kApart_pt);
}

void next_in_air(SheetFlow& flow, const AirSolution& s) {
  std::string text = s.verdict.do_next.empty() ? "" : capitalised(s.verdict.do_next) + ". ";
  if (s.wind_known && s.next_legs_deg.size() >= 2) {
    text += fmt::format(
        "Two further legs tell most: indicated {} and {}. The curve is then known to {}° (1 sigma, "
        "where it is worst) instead of {}°, sideslip and variation aside. ",
        heading_words(s.next_legs_deg[0]), heading_words(s.next_legs_deg[1]),
        number_words(s.next_worst_sigma_deg, 1), number_words(s.now_worst_sigma_deg, 1));
  }
  text += "Not for navigation by this display until it agrees.";
  const Framed slip{.title = "Next", .text = paper_words(text), .slip = true, .size_pt = 9.5};
  const double width = flow.room().width();
  const PageBox box = flow.take(framed_height(flow.canvas(), width, slip));
  draw_framed(flow.canvas(), box, slip);
  flow.skip(kApart_pt);
}

Result<PageRecord> draw_air(const AirSheet& sheet, const SheetContext& context, PageFormat format,
                            std::size_t pages) {
  const std::string what = "Check in the air";
  const std::string of = context.aircraft.empty() ? "" : ", " + context.aircraft;
  auto opened =
      PageCanvas::open(format, context.letter ? kLetter : kA4, {what + of, context.day}, pages);
  if (!opened) return opened.error();
  PageCanvas& canvas = opened.value();
  std::size_t page = 0;
  SheetFlow flow{canvas, [&] {
                   if (page > 0) canvas.next_page();
                   return frame_sheet(canvas, what, context, ++page, pages);
                 }};
  Verdict verdict = sheet.air.verdict;
  if (!verdict.because.empty()) verdict.because = paper_words(capitalised(verdict.because)) + ".";
  const double top =
      draw_opening(canvas, flow.room(), {verdict, found_in_air(sheet.air), facts_of(sheet)});
  flow.take(top - flow.room().top);
  const SwingCompass compass = as_compass(sheet);
  largest_in_air(flow, sheet.air);
  if (!sheet.legs.empty()) velocities_and_numbers(flow, sheet, compass);
  curve_in_air(flow, sheet.air, compass);
  next_in_air(flow, sheet.air);
  air_leg_rows(flow, sheet.legs, sheet.air.legs);
  flow.list(paper_list("Set aside", doubt_lines(sheet.air.gross)));
  flow.list(
      paper_list("One of these is probably wrong; all are used", doubt_lines(sheet.air.suspects)));
  flow.list(paper_list("What this flight cannot prove", sheet.air.cannot_prove));
  flow.list(paper_list("Look at", sheet.air.remarks));
  flow.list(paper_list("Not used", why_left_out(sheet.stretches)));
  flow.list(paper_list("How it was read, assumed or given",
                       {in_one(sheet.how_read), in_one(sheet.air.assumptions)}));
  const PageBox last = flow.take(kAirSignatures_pt + 4.0);
  signature_lines(canvas, std::max(last.bottom, flow.room().bottom - 4.0));
  return canvas.finish();
}

}  // namespace

Result<PageRecord> draw_air_sheet(const AirSheet& sheet, const SheetContext& context,
                                  PageFormat format) {
  return draw_numbered(
      [&](PageFormat as, std::size_t pages) { return draw_air(sheet, context, as, pages); },
      format);
}

Result<std::string> air_sheet_pdf(const AirSheet& sheet, const SheetContext& context) {
  return bytes_of(draw_air_sheet(sheet, context, PageFormat::pdf));
}

Result<std::string> air_sheet_svg(const AirSheet& sheet, const SheetContext& context) {
  return bytes_of(draw_air_sheet(sheet, context, PageFormat::svg));
}

}  // namespace qn
