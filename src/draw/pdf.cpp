// SPDX-License-Identifier: Apache-2.0
#include <cairo-pdf.h>
#include <cairo.h>

#include "draw/paint.h"
#include "draw/pdf_finish.h"
#include "truepull/draw.h"

namespace truepull {
namespace {

cairo_status_t Append(void* closure, const unsigned char* data, unsigned int length) {
  static_cast<std::string*>(closure)->append(reinterpret_cast<const char*>(data), length);
  return CAIRO_STATUS_SUCCESS;
}

}  // namespace

Result<std::string> DrawPdf(const std::vector<GuidePage>& pages, const std::string& title) {
  std::string bytes;
  const CairoSurface surface(cairo_pdf_surface_create_for_stream(Append, &bytes, 1, 1));
  cairo_pdf_surface_restrict_to_version(surface.get(), CAIRO_PDF_VERSION_1_5);
  {
    const CairoContext cr(cairo_create(surface.get()));
    for (const GuidePage& page : pages) {
      cairo_pdf_surface_set_size(surface.get(), page.width_mm * kPointsPerMm,
                                 page.height_mm * kPointsPerMm);
      cairo_save(cr.get());
      cairo_scale(cr.get(), kPointsPerMm * page.scale_x, kPointsPerMm * page.scale_y);
      if (!PaintPage(cr.get(), page)) return Error{ErrorCode::kCannotWrite, "a picture of the page could not be drawn", ""};
      cairo_restore(cr.get());
      cairo_show_page(cr.get());
    }
  }
  cairo_surface_finish(surface.get());
  const cairo_status_t status = cairo_surface_status(surface.get());
  if (status != CAIRO_STATUS_SUCCESS) {
    return Error{ErrorCode::kCannotWrite,
                 std::string("the guide's PDF could not be drawn: ") + cairo_status_to_string(status), ""};
  }
  return FinishPdf(bytes, title);
}

}  // namespace truepull
