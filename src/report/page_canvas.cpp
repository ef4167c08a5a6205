// SPDX-License-Identifier: Apache-2.0
#include "report/page_canvas.h"

#include <cairo-pdf.h>
#include <cairo-svg.h>

#include <string>
#include <utility>

#include "report/page_device_internal.h"
#include "vocab/time.h"

namespace qn {
namespace {

Error no_page(std::string what) {
  return Error{ErrorKind::Io, std::move(what), "drawing the sheet",
               "a page drawn in memory by Cairo and Pango",
               "free some memory and try again; if it happens again, keep the JSON and report it"};
}

Error no_font(const std::string& instead) {
  return Error{ErrorKind::Io, "the font DejaVu Sans is missing (offered instead: " + instead + ")",
               "drawing the sheet", "DejaVu Sans installed on this machine",
               "install the Debian package fonts-dejavu-core (fonts-dejavu-extra adds the narrow "
               "cut the sheets are laid out for), then write the sheet again"};
}

cairo_status_t append_bytes(void* bytes, const unsigned char* data, unsigned int length) {
  try {
    static_cast<std::string*>(bytes)->append(data, data + length);
    return CAIRO_STATUS_SUCCESS;
  } catch (...) {  // an exception must not cross C code
    return CAIRO_STATUS_NO_MEMORY;
  }
}

/// The family that text set in DejaVu Sans would really be drawn with.
std::string family_found(PangoContext* pango) {
  const auto wanted = font_of(TextStyle{});
  const PangoPtr<PangoFont> font{pango_context_load_font(pango, wanted.get())};
  if (!font) return "none";
  const PangoPtr<PangoFontDescription> found{pango_font_describe(font.get())};
  const char* family = pango_font_description_get_family(found.get());
  return family == nullptr ? "none" : family;
}

PangoPtr<PangoContext> text_context(PangoFontMap* fonts, cairo_t* cairo) {
  PangoPtr<PangoContext> pango{pango_font_map_create_context(fonts)};
  pango_cairo_update_context(cairo, pango.get());
  pango_cairo_context_set_resolution(pango.get(), 72.0);  // so that a size is in points
  // No hinting: letters must have the same width on every machine and at every zoom.
  const CairoPtr<cairo_font_options_t> options{cairo_font_options_create()};
  cairo_font_options_set_hint_style(options.get(), CAIRO_HINT_STYLE_NONE);
  cairo_font_options_set_hint_metrics(options.get(), CAIRO_HINT_METRICS_OFF);
  pango_cairo_context_set_font_options(pango.get(), options.get());
  pango_context_set_round_glyph_positions(pango.get(), FALSE);
  pango_context_set_language(pango.get(), pango_language_from_string("en"));
  return pango;
}

void describe_pdf(cairo_surface_t* surface, const PageTitle& title) {
  std::string created = CalendarDate::parse(title.day, "sheet") ? title.day : "2000-01-01";
  created += "T00:00:00Z";
  cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_CREATE_DATE, created.c_str());
  cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_TITLE, printable(title.title).c_str());
}

/// Cairo 1.16 forgets the "D:" a PDF date begins with. The seconds make room for it, so that no
/// byte behind it moves.
void mend_pdf_date(std::string& pdf) {
  const std::string_view key = "/CreationDate (";
  constexpr std::size_t kWithoutPrefix = 15;  // 20260514000000Z
  const std::size_t at = pdf.find(key);
  if (at == std::string::npos) return;
  const std::size_t date = at + key.size();
  if (pdf.compare(date, 2, "D:") == 0 || pdf.find(')', date) != date + kWithoutPrefix) return;
  const std::string mended = "D:" + pdf.substr(date, 12) + ") ";
  pdf.replace(date, mended.size(), mended);
}

/// Cairo numbers surfaces through the whole life of a process; the same page must not depend on it.
void settle_svg_ids(std::string& svg) {
  const std::string_view from = "id=\"surface";
  for (std::size_t at = svg.find(from); at != std::string::npos; at = svg.find(from, at + 1)) {
    const std::size_t digits = at + from.size();
    std::size_t end = digits;
    while (end < svg.size() && svg[end] >= '0' && svg[end] <= '9') ++end;
    svg.replace(digits, end - digits, 1, '1');
  }
}

}  // namespace

PageCanvas::PageCanvas(std::unique_ptr<Device> device) : device_{std::move(device)} {}
PageCanvas::PageCanvas(PageCanvas&&) noexcept = default;
PageCanvas& PageCanvas::operator=(PageCanvas&&) noexcept = default;
PageCanvas::~PageCanvas() = default;

Result<PageCanvas> PageCanvas::open(PageFormat format, PageSize size, const PageTitle& title,
                                    std::size_t pages) {
  auto device = std::make_unique<Device>();
  device->format = format;
  device->record.size = size;
  std::string* bytes = &device->record.bytes;
  if (format == PageFormat::pdf) {
    device->surface.reset(
        cairo_pdf_surface_create_for_stream(append_bytes, bytes, size.width_pt, size.height_pt));
    describe_pdf(device->surface.get(), title);
  } else {
    device->surface.reset(cairo_svg_surface_create_for_stream(
        append_bytes, bytes, size.width_pt, static_cast<double>(pages) * size.height_pt));
    cairo_svg_surface_set_document_unit(device->surface.get(), CAIRO_SVG_UNIT_PT);
  }
  device->cairo.reset(cairo_create(device->surface.get()));
  if (cairo_status(device->cairo.get()) != CAIRO_STATUS_SUCCESS) {
    return no_page(cairo_status_to_string(cairo_status(device->cairo.get())));
  }
  device->fonts.reset(pango_cairo_font_map_new());
  device->pango = text_context(device->fonts.get(), device->cairo.get());
  const std::string family = family_found(device->pango.get());
  if (family.rfind("DejaVu Sans", 0) != 0) return no_font(family);

  PageCanvas canvas{std::move(device)};
  canvas.device_->set(ink::kPaper);  // an SVG has no ground of its own
  cairo_paint(canvas.device_->cairo.get());
  return canvas;
}

PageSize PageCanvas::size() const { return device_->record.size; }

void PageCanvas::next_page() {
  cairo_t* cairo = device_->cairo.get();
  ++device_->record.pages;
  if (device_->format == PageFormat::svg) {
    cairo_translate(cairo, 0.0, device_->record.size.height_pt);
    return;
  }
  cairo_show_page(cairo);
  device_->set(ink::kPaper);
  cairo_paint(cairo);
}

Result<PageRecord> PageCanvas::finish() {
  cairo_show_page(device_->cairo.get());
  const cairo_status_t drawn = cairo_status(device_->cairo.get());
  device_->cairo.reset();
  cairo_surface_finish(device_->surface.get());
  const cairo_status_t written = cairo_surface_status(device_->surface.get());
  for (const cairo_status_t status : {drawn, written}) {
    if (status != CAIRO_STATUS_SUCCESS) return no_page(cairo_status_to_string(status));
  }
  if (device_->unknown_glyphs > 0) {
    return Error{
        ErrorKind::Io,
        std::to_string(device_->unknown_glyphs) +
            " characters of the sheet have no shape in any installed font",
        "text \"" + device_->unknown_in + "\"",
        "characters of DejaVu Sans (Latin, Greek, Cyrillic) or of another installed font",
        "install the Debian package fonts-dejavu-core, or a font for that script, or write "
        "the text in Latin letters"};
  }
  if (device_->format == PageFormat::svg) {
    settle_svg_ids(device_->record.bytes);
  } else {
    mend_pdf_date(device_->record.bytes);
  }
  return std::move(device_->record);
}

}  // namespace qn
