// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "report/ink.h"
#include "report/page_geometry.h"
#include "vocab/result.h"

namespace qn {

enum class PageFormat { pdf, svg };
enum class Dash { solid, dashed, dotted };
enum class Anchor { left, middle, right };
enum class Hatch { level, slanted, crossed };

struct Stroke {
  Ink ink = ink::kWords;
  double width_pt = kLine_pt;
  Dash dash = Dash::solid;
};

/// DejaVu Sans, the one family of the sheets; `condensed` is its narrow cut.
struct TextStyle {
  double size_pt = 9.5;
  Ink ink = ink::kWords;
  bool condensed = true;
  bool bold = false;
  bool halo = false;  ///< a rim of paper, for words on a plot
};

/// Bytes [begin, end) of a text that are set bold.
struct BoldSpan {
  std::size_t begin = 0, end = 0;
};

/// Words that wrap between two sides.
struct Paragraph {
  std::string text;
  TextStyle style = {};
  std::vector<BoldSpan> bold = {};
  int max_lines = 0;         ///< 0: as many as it takes; otherwise cut with an ellipsis
  double line_height = 1.3;  ///< of the size
};

struct DrawnText {
  std::string text;
  PageBox ink_box;
  bool cut = false;      ///< an ellipsis stands for a part of it
  std::size_t page = 0;  ///< counted from 0; ink_box is counted from that page's corner
};

/// What was put on the page, so that a test can read an SVG whose letters are outlines.
struct PageRecord {
  std::string bytes;
  PageSize size;  ///< of one page
  std::vector<DrawnText> texts;
  PageBox extent;         ///< hull of everything drawn, all pages laid on each other
  std::size_t pages = 1;  ///< begun
};

/// What stands in the file about itself. `day` is ISO and dates a PDF, so that the same input gives
/// the same bytes on any day; anything else counts as 2000-01-01.
struct PageTitle {
  std::string title;
  std::string day;
};

/// Pages to draw on, kept in memory. The only place that speaks to the drawing libraries.
/// Texts may hold any bytes: what is not UTF-8 is shown as U+FFFD, control characters as spaces.
class PageCanvas {
 public:
  /// pages   how many there will be: an SVG has them under one another, so it must know
  /// errors  Io when DejaVu Sans is not installed or the page cannot be made
  static Result<PageCanvas> open(PageFormat format, PageSize size, const PageTitle& title,
                                 std::size_t pages = 1);
  PageCanvas(PageCanvas&&) noexcept;
  PageCanvas& operator=(PageCanvas&&) noexcept;
  ~PageCanvas();

  PageSize size() const;
  /// What is drawn from here on stands on the next page. Not inside a clip.
  void next_page();

  void line(PagePoint from, PagePoint to, const Stroke& stroke);
  void polyline(const std::vector<PagePoint>& points, const Stroke& stroke);
  void polygon(const std::vector<PagePoint>& points, Ink fill);
  void fill(const PageBox& box, Ink fill);
  void frame(const PageBox& box, const Stroke& stroke, double corner_pt = 0.0);
  void hatch(const PageBox& box, Hatch hatch, Ink lines, Ink ground);
  void disc(PagePoint centre, double radius_pt, Ink fill);
  /// Upright lines from one level to each of the tips, as one shape.
  void needles(double level_y, const std::vector<PagePoint>& tips, const Stroke& stroke);
  void ring(PagePoint centre, double radius_pt, const Stroke& stroke, Ink fill);

  /// Everything drawn until leave_clip is cut at the box. Not nested.
  void enter_clip(const PageBox& box);
  void leave_clip();

  /// One line; `at` is on its baseline. A line wider than `widest_pt` (when > 0) ends in an
  /// ellipsis.
  void label(PagePoint at, std::string_view text, const TextStyle& style,
             Anchor anchor = Anchor::left, double widest_pt = 0.0);
  double label_width(std::string_view text, const TextStyle& style);

  /// Draws with its upper left corner at `at` and returns the height.
  double paragraph(PagePoint at, double width_pt, const Paragraph& words);
  double paragraph_height(double width_pt, const Paragraph& words);
  /// Whether the whole text shows within its max_lines.
  bool paragraph_fits(double width_pt, const Paragraph& words);

  /// Ends the last page. The canvas is spent afterwards.
  /// errors  Io when drawing failed or a text holds characters that no installed font has
  Result<PageRecord> finish();

 private:
  struct Device;
  explicit PageCanvas(std::unique_ptr<Device> device);
  std::unique_ptr<Device> device_;
};

}  // namespace qn
