// SPDX-License-Identifier: Apache-2.0
#include <cairo.h>

#include <algorithm>
#include <cmath>

#include "draw/paint.h"
#include "truepull/draw.h"

namespace truepull {
namespace {

cairo_status_t Append(void* closure, const unsigned char* data, unsigned int length) {
  static_cast<std::string*>(closure)->append(reinterpret_cast<const char*>(data), length);
  return CAIRO_STATUS_SUCCESS;
}

}  // namespace

Result<std::string> DrawPng(const GuidePage& page, double px_per_mm) {
  const auto pixels = [&](double mm) { return std::max(1, static_cast<int>(std::lround(mm * px_per_mm))); };
  const CairoSurface surface(cairo_image_surface_create(CAIRO_FORMAT_RGB24, pixels(page.width_mm), pixels(page.height_mm)));
  std::string bytes;
  cairo_status_t status = cairo_surface_status(surface.get());
  if (status == CAIRO_STATUS_SUCCESS) {
    const CairoContext cr(cairo_create(surface.get()));
    cairo_set_source_rgb(cr.get(), 1, 1, 1);
    cairo_paint(cr.get());
    cairo_scale(cr.get(), px_per_mm, px_per_mm);
    if (!PaintPage(cr.get(), page)) return Error{ErrorCode::kCannotWrite, "a picture of the page could not be drawn", ""};
    status = cairo_status(cr.get());
  }
  if (status == CAIRO_STATUS_SUCCESS) status = cairo_surface_write_to_png_stream(surface.get(), Append, &bytes);
  if (status != CAIRO_STATUS_SUCCESS) {
    return Error{ErrorCode::kCannotWrite, std::string("the picture could not be drawn: ") + cairo_status_to_string(status), ""};
  }
  return bytes;
}

}  // namespace truepull
