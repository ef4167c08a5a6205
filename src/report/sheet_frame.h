// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <string_view>

#include "report/page_canvas.h"

namespace qn {

// What every sheet has around its own contents, from the header's double rule to the footer.

struct SheetHead {
  std::string what;  ///< procedure and aircraft
  std::string when;  ///< day, place, sheet n of m
};
struct SheetFoot {
  std::string program;    ///< "Quietnorth 0.1.0"
  std::string recording;  ///< the file's name
  std::string sha256;     ///< hex
};

/// The part of the page inside the margins: 14 mm at the sides.
PageBox sheet_margins(PageSize size);

/// returns  the y below which the sheet's contents start
double sheet_head(PageCanvas& canvas, const SheetHead& head);
/// returns  the y above which they end
double sheet_foot(PageCanvas& canvas, const SheetFoot& foot);
/// Lines for name and role, signature and date, ending at `bottom`.
/// returns  the y of their upper end, with room to write
double signature_lines(PageCanvas& canvas, double bottom);

/// A heading with a line under it; `caption` says how to read what follows. `box.top` and the sides
/// count. returns  the y below the line
double section_head(PageCanvas& canvas, const PageBox& box, std::string_view title,
                    std::string_view caption = {});
inline constexpr double kSectionHead_pt = 15.5;

/// A framed text with a bold heading: the next thing to do, or a caution.
struct Framed {
  std::string title;
  std::string text;
  int max_lines = 0;
  bool slip = false;     ///< the next thing to do: rounded corners, a heavier line
  double size_pt = 8.0;  ///< of the text
};
/// Whether the whole text shows within its max_lines.
bool framed_fits(PageCanvas& canvas, double width_pt, const Framed& framed);
double framed_height(PageCanvas& canvas, double width_pt, const Framed& framed);
void draw_framed(PageCanvas& canvas, const PageBox& box, const Framed& framed);

}  // namespace qn
