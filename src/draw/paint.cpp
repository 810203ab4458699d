// SPDX-License-Identifier: Apache-2.0
#include "draw/paint.h"

#include <pango/pangocairo.h>

#include <numbers>
#include <string>
#include <utility>
#include <variant>

#include "draw/ink.h"

namespace truepull {
namespace {

using Layout = std::unique_ptr<PangoLayout, Freer<g_object_unref>>;
using Font = std::unique_ptr<PangoFontDescription, Freer<pango_font_description_free>>;

void SetInk(cairo_t* cr, Ink ink) {
  const Rgb c = ColourOf(ink);
  cairo_set_source_rgb(cr, c.r / 255.0, c.g / 255.0, c.b / 255.0);
}

void SetInk(cairo_t* cr, const PathMark& path) {
  const auto part = [&](std::size_t at) { return std::stoi(path.colour.substr(at, 2), nullptr, 16) / 255.0; };
  if (path.colour.size() != 7) return SetInk(cr, path.ink);
  cairo_set_source_rgb(cr, part(1), part(3), part(5));
}

void Draw(cairo_t* cr, const PathMark& path) {
  if (path.points.empty()) return;
  cairo_new_path(cr);
  for (const Point p : path.points) cairo_line_to(cr, p.x, p.y);
  if (path.closed) cairo_close_path(cr);
  SetInk(cr, path);
  if (path.filled) {
    cairo_fill(cr);
    return;
  }
  const std::vector<double> dashes = PatternOf(path.dash);
  cairo_set_dash(cr, dashes.data(), static_cast<int>(dashes.size()), 0);
  cairo_set_line_width(cr, path.width_mm);
  cairo_stroke(cr);
}

// One layout for all words of a page: finding the faces anew costs ten times the drawing.
class Pen {
 public:
  explicit Pen(cairo_t* cr) : cr_(cr), layout_(pango_cairo_create_layout(cr)) {
    // Hinting would set letters on a grid of pixels that paper does not have.
    cairo_font_options_t* options = cairo_font_options_create();
    cairo_font_options_set_hint_style(options, CAIRO_HINT_STYLE_NONE);
    cairo_font_options_set_hint_metrics(options, CAIRO_HINT_METRICS_OFF);
    pango_cairo_context_set_font_options(pango_layout_get_context(layout_.get()), options);
    cairo_font_options_destroy(options);
    for (const bool bold : {false, true}) {
      Font font(pango_font_description_new());
      pango_font_description_set_family(font.get(), (std::string(kFace) + ", " + kOtherFaces).c_str());
      pango_font_description_set_weight(font.get(), bold ? PANGO_WEIGHT_BOLD : PANGO_WEIGHT_NORMAL);
      // Set at 100 units to the em and scaled down, for Pango rounds to 1/1024 unit.
      pango_font_description_set_absolute_size(font.get(), kUnits * PANGO_SCALE);
      (bold ? bold_ : regular_) = std::move(font);
    }
  }

  void Draw(const TextMark& text) {
    pango_layout_set_font_description(layout_.get(), (text.bold ? bold_ : regular_).get());
    pango_layout_set_text(layout_.get(), text.text.c_str(), -1);
    const double mm = text.cap_mm / kFaceCapOfEm / kUnits;  // One unit on the page.
    int width = 0;
    pango_layout_get_size(layout_.get(), &width, nullptr);
    const double w = static_cast<double>(width) / PANGO_SCALE;
    const double base = static_cast<double>(pango_layout_get_baseline(layout_.get())) / PANGO_SCALE;
    const double left = text.anchor == Anchor::kMiddle ? -w / 2 : text.anchor == Anchor::kEnd ? -w : 0;
    cairo_save(cr_);
    cairo_translate(cr_, text.at.x, text.at.y);
    cairo_rotate(cr_, text.quarter_turns * std::numbers::pi / 2);
    cairo_scale(cr_, mm, mm);
    cairo_move_to(cr_, left, -base);
    SetInk(cr_, text.ink);
    pango_cairo_show_layout(cr_, layout_.get());
    cairo_restore(cr_);
  }

 private:
  static constexpr double kUnits = 100;
  cairo_t* cr_;
  Layout layout_;
  Font regular_, bold_;
};

struct Bytes {
  const std::string* text;
  std::size_t at = 0;
};

cairo_status_t Take(void* closure, unsigned char* to, unsigned int length) {
  auto* bytes = static_cast<Bytes*>(closure);
  if (bytes->text->size() - bytes->at < length) return CAIRO_STATUS_READ_ERROR;
  bytes->text->copy(reinterpret_cast<char*>(to), length, bytes->at);
  bytes->at += length;
  return CAIRO_STATUS_SUCCESS;
}

bool Draw(cairo_t* cr, const PagePicture& picture) {
  Bytes bytes{&picture.png};
  const CairoSurface surface(cairo_image_surface_create_from_png_stream(Take, &bytes));
  const int width = cairo_image_surface_get_width(surface.get()), height = cairo_image_surface_get_height(surface.get());
  if (cairo_surface_status(surface.get()) != CAIRO_STATUS_SUCCESS || width < 1 || height < 1) return false;
  cairo_save(cr);
  cairo_translate(cr, picture.box.left, picture.box.top);
  cairo_scale(cr, picture.box.Width() / width, picture.box.Height() / height);
  cairo_set_source_surface(cr, surface.get(), 0, 0);
  cairo_paint(cr);
  cairo_restore(cr);
  return true;
}

}  // namespace

bool PaintPage(cairo_t* cr, const GuidePage& page) {
  bool whole = true;
  for (const PagePicture& picture : page.pictures) whole = Draw(cr, picture) && whole;
  PaintMarks(cr, page.marks);
  return whole;
}

void PaintMarks(cairo_t* cr, const std::vector<Mark>& marks) {
  Pen pen(cr);
  for (const Mark& mark : marks) {
    if (mark.hidden) continue;
    if (const auto* text = std::get_if<TextMark>(&mark.what)) pen.Draw(*text);
    else Draw(cr, std::get<PathMark>(mark.what));
  }
}

}  // namespace truepull
