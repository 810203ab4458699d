// SPDX-License-Identifier: Apache-2.0
#include <cairo.h>

#include <algorithm>
#include <cmath>
#include <cstdint>

#include "draw/paint.h"
#include "truepull/draw.h"

namespace truepull {
namespace {

cairo_status_t Append(void* closure, const unsigned char* data, unsigned int length) {
  static_cast<std::string*>(closure)->append(reinterpret_cast<const char*>(data), length);
  return CAIRO_STATUS_SUCCESS;
}

void AppendNumber(std::uint32_t v, std::string& out) {
  for (const int shift : {24, 16, 8, 0}) out += static_cast<char>((v >> shift) & 0xFF);
}

// CRC-32 as PNG wants it (ISO/IEC 15948, annex D).
std::uint32_t Crc(const std::string& bytes) {
  std::uint32_t crc = 0xFFFFFFFFu;
  for (const char c : bytes) {
    crc ^= static_cast<unsigned char>(c);
    for (int k = 0; k < 8; ++k) crc = (crc & 1u) != 0 ? 0xEDB88320u ^ (crc >> 1) : crc >> 1;
  }
  return ~crc;
}

// Cairo leaves out how large a dot is; with it, other programs print the page true to size.
std::string WithResolution(const std::string& png, double px_per_mm) {
  constexpr std::size_t kAfterHead = 8 + 25;  // Signature and IHDR.
  if (png.size() < kAfterHead) return png;
  std::string chunk = "pHYs";
  const auto per_metre = static_cast<std::uint32_t>(std::lround(1000 * px_per_mm));
  AppendNumber(per_metre, chunk);
  AppendNumber(per_metre, chunk);
  chunk += '\1';  // Metres.
  std::string out = png.substr(0, kAfterHead);
  AppendNumber(9, out);
  out += chunk;
  AppendNumber(Crc(chunk), out);
  return out + png.substr(kAfterHead);
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
    cairo_scale(cr.get(), px_per_mm * page.scale_x, px_per_mm * page.scale_y);
    if (!PaintPage(cr.get(), page)) return Error{ErrorCode::kCannotWrite, "a picture of the page could not be drawn", ""};
    status = cairo_status(cr.get());
  }
  if (status == CAIRO_STATUS_SUCCESS) status = cairo_surface_write_to_png_stream(surface.get(), Append, &bytes);
  if (status != CAIRO_STATUS_SUCCESS) {
    return Error{ErrorCode::kCannotWrite, std::string("the picture could not be drawn: ") + cairo_status_to_string(status), ""};
  }
  return WithResolution(bytes, px_per_mm);
}

}  // namespace truepull
