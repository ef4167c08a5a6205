// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cairo.h>
#include <pango/pangocairo.h>

#include <memory>
#include <optional>
#include <string>

#include "report/page_canvas.h"

namespace qn {

/// Frees what the C libraries hand out; one type per kind of object.
struct CairoFree {
  void operator()(cairo_surface_t* surface) const { cairo_surface_destroy(surface); }
  void operator()(cairo_t* context) const { cairo_destroy(context); }
  void operator()(cairo_font_options_t* options) const { cairo_font_options_destroy(options); }
};
struct PangoFree {
  void operator()(PangoFontDescription* font) const { pango_font_description_free(font); }
  void operator()(PangoAttrList* list) const { pango_attr_list_unref(list); }
  template <class Object>
  void operator()(Object* object) const {
    g_object_unref(object);
  }
};
template <class T>
using CairoPtr = std::unique_ptr<T, CairoFree>;
template <class T>
using PangoPtr = std::unique_ptr<T, PangoFree>;

struct PageCanvas::Device {
  PageFormat format = PageFormat::pdf;
  PageRecord record;
  bool anything_drawn = false;
  int unknown_glyphs = 0;
  std::string unknown_in;  ///< the first text that had one
  std::optional<PageBox> clip;
  // Declared in this order because each is used by the one before it until it is destroyed.
  CairoPtr<cairo_surface_t> surface;
  CairoPtr<cairo_t> cairo;
  PangoPtr<PangoFontMap>
      fonts;  // its own: the library's shared one is tied to a thread, never freed
  PangoPtr<PangoContext> pango;

  void set(Ink ink) const;
  void set(const Stroke& stroke) const;
  void cover(PageBox box, double margin_pt);
  PangoPtr<PangoLayout> layout(const std::string& text, const TextStyle& style) const;
  PangoPtr<PangoLayout> layout(double width_pt, const Paragraph& words) const;
  void show(PangoLayout* layout, PagePoint origin, const std::string& text, const TextStyle& style);
};

/// Any bytes as printable UTF-8 of one paragraph.
std::string printable(std::string_view text);

PangoPtr<PangoFontDescription> font_of(const TextStyle& style);

}  // namespace qn
