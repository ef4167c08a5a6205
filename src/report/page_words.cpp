// SPDX-License-Identifier: Apache-2.0
// The words of PageCanvas: one line, and paragraphs that wrap.
#include <cmath>

#include "report/page_canvas.h"
#include "report/page_device_internal.h"

namespace qn {
namespace {

// Height of a line of DejaVu Sans as the font itself asks for, of its size.
constexpr double kNaturalLine = 1.164;

int to_pango(double pt) { return static_cast<int>(std::lround(pt * PANGO_SCALE)); }
double from_pango(int units) { return static_cast<double>(units) / PANGO_SCALE; }

double baseline_pt(PangoLayout* layout) { return from_pango(pango_layout_get_baseline(layout)); }

PageBox logical_box(PangoLayout* layout) {
  PangoRectangle logical;
  pango_layout_get_extents(layout, nullptr, &logical);
  return {from_pango(logical.x), from_pango(logical.y), from_pango(logical.x + logical.width),
          from_pango(logical.y + logical.height)};
}

void add(PangoAttrList* list, PangoAttribute* attribute, const BoldSpan& where) {
  attribute->start_index = static_cast<guint>(where.begin);
  attribute->end_index =
      where.end == std::string::npos ? PANGO_ATTR_INDEX_TO_TEXT_END : static_cast<guint>(where.end);
  pango_attr_list_insert(list, attribute);
}

}  // namespace

std::string printable(std::string_view text) {
  gchar* valid = g_utf8_make_valid(text.data(), static_cast<gssize>(text.size()));
  std::string out{valid};
  g_free(valid);
  for (char& c : out) {
    const auto byte = static_cast<unsigned char>(c);
    if (byte < 0x20 || byte == 0x7f) c = ' ';
  }
  // Line and paragraph separators would start a new line inside a label.
  for (const std::string_view separator : {"\xe2\x80\xa8", "\xe2\x80\xa9"}) {
    for (auto at = out.find(separator); at != std::string::npos; at = out.find(separator, at)) {
      out.replace(at, separator.size(), 1, ' ');
    }
  }
  return out;
}

PangoPtr<PangoFontDescription> font_of(const TextStyle& style) {
  PangoPtr<PangoFontDescription> font{pango_font_description_new()};
  pango_font_description_set_family(font.get(), "DejaVu Sans");
  pango_font_description_set_size(font.get(), to_pango(style.size_pt));
  pango_font_description_set_weight(font.get(),
                                    style.bold ? PANGO_WEIGHT_BOLD : PANGO_WEIGHT_NORMAL);
  pango_font_description_set_stretch(
      font.get(), style.condensed ? PANGO_STRETCH_CONDENSED : PANGO_STRETCH_NORMAL);
  return font;
}

PangoPtr<PangoLayout> PageCanvas::Device::layout(const std::string& text,
                                                 const TextStyle& style) const {
  PangoPtr<PangoLayout> layout{pango_layout_new(pango.get())};
  pango_layout_set_font_description(layout.get(), font_of(style).get());
  pango_layout_set_text(layout.get(), text.data(), static_cast<int>(text.size()));
  return layout;
}

PangoPtr<PangoLayout> PageCanvas::Device::layout(double width_pt, const Paragraph& words) const {
  // Bold spans count bytes of the text as given, so they only hold while cleaning changes none.
  const std::string text = printable(words.text);
  PangoPtr<PangoLayout> result = layout(text, words.style);
  pango_layout_set_width(result.get(), to_pango(width_pt));
  pango_layout_set_wrap(result.get(), PANGO_WRAP_WORD_CHAR);
  pango_layout_set_spacing(result.get(),
                           to_pango((words.line_height - kNaturalLine) * words.style.size_pt));
  if (words.max_lines > 0) {
    pango_layout_set_height(result.get(), -words.max_lines);
    pango_layout_set_ellipsize(result.get(), PANGO_ELLIPSIZE_END);
  }
  const PangoPtr<PangoAttrList> list{pango_attr_list_new()};
  // An option of the command line, --stations, stays in one piece.
  for (auto at = text.find("--"); at != std::string::npos; at = text.find("--", at + 2)) {
    add(list.get(), pango_attr_allow_breaks_new(FALSE), {at, text.find_first_of(" ,;)", at)});
  }
  if (text.size() == words.text.size()) {
    for (const BoldSpan& span : words.bold) {
      add(list.get(), pango_attr_weight_new(PANGO_WEIGHT_BOLD), span);
    }
  }
  pango_layout_set_attributes(result.get(), list.get());
  return result;
}

void PageCanvas::Device::show(PangoLayout* layout, PagePoint origin, const std::string& text,
                              const TextStyle& style) {
  const int unknown = pango_layout_get_unknown_glyphs_count(layout);
  if (unknown > 0 && unknown_glyphs == 0) unknown_in = text;
  unknown_glyphs += unknown;
  if (style.halo) {
    cairo_new_path(cairo.get());
    cairo_move_to(cairo.get(), origin.x, origin.y);
    pango_cairo_layout_path(cairo.get(), layout);
    set(Stroke{ink::kPaper, 2.6, Dash::solid});
    cairo_stroke(cairo.get());
  }
  set(style.ink);
  cairo_move_to(cairo.get(), origin.x, origin.y);
  pango_cairo_show_layout(cairo.get(), layout);

  PangoRectangle shape;
  pango_layout_get_extents(layout, &shape, nullptr);
  const PageBox box{origin.x + from_pango(shape.x), origin.y + from_pango(shape.y),
                    origin.x + from_pango(shape.x + shape.width),
                    origin.y + from_pango(shape.y + shape.height)};
  cover(box, 0.0);
  record.texts.push_back(
      {text, box, pango_layout_is_ellipsized(layout) != FALSE, record.pages - 1});
}

void PageCanvas::label(PagePoint at, std::string_view text, const TextStyle& style, Anchor anchor,
                       double widest_pt) {
  const std::string clean = printable(text);
  if (clean.empty()) return;
  const auto layout = device_->layout(clean, style);
  double width_pt = logical_box(layout.get()).width();
  if (widest_pt > 0.0 && width_pt > widest_pt) {
    pango_layout_set_width(layout.get(), to_pango(widest_pt));
    pango_layout_set_ellipsize(layout.get(), PANGO_ELLIPSIZE_END);
    width_pt = logical_box(layout.get()).width();
  }
  const double shift = anchor == Anchor::left ? 0.0 : anchor == Anchor::middle ? 0.5 : 1.0;
  device_->show(layout.get(), {at.x - shift * width_pt, at.y - baseline_pt(layout.get())}, clean,
                style);
}

double PageCanvas::label_width(std::string_view text, const TextStyle& style) {
  const auto layout = device_->layout(printable(text), style);
  return logical_box(layout.get()).width();
}

double PageCanvas::paragraph(PagePoint at, double width_pt, const Paragraph& words) {
  if (words.text.empty()) return 0.0;
  const auto layout = device_->layout(width_pt, words);
  device_->show(layout.get(), at, printable(words.text), words.style);
  return logical_box(layout.get()).height();
}

double PageCanvas::paragraph_height(double width_pt, const Paragraph& words) {
  if (words.text.empty()) return 0.0;
  return logical_box(device_->layout(width_pt, words).get()).height();
}

bool PageCanvas::paragraph_fits(double width_pt, const Paragraph& words) {
  return pango_layout_is_ellipsized(device_->layout(width_pt, words).get()) == FALSE;
}

}  // namespace qn
