// SPDX-License-Identifier: Apache-2.0
#include <cairo/cairo.h>
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <memory>
#include <numbers>
#include <opencv2/imgproc.hpp>
#include <string>

#include "drift/magnification.h"
#include "truepull/picture.h"

namespace truepull {
namespace {

struct Ink {
  double r, g, b;
};
constexpr Ink kWhite{1, 1, 1}, kBlack{0, 0, 0};
// Told apart in grey too (light, middle, dark), and never by colour alone.
constexpr Ink kFound{0.95, 0.15, 0.55};
constexpr Ink kWeak{0.98, 0.62, 0.05};
constexpr Ink kBare{1, 0.91, 0.29}, kGround{0.35, 0.35, 0.35};
constexpr Ink kCalledOut{0.85, 0.05, 0.05};

// Cairo's pen over the picture, in mm of the sheet; every line has a white casing so that
// it shows on any ink.
class Pen {
 public:
  Pen(cairo_t* cr, double px_per_mm, double line_px) : cr_(cr), px_(px_per_mm), line_(line_px) {}

  void Trace(const Outline& outline) {
    cairo_new_path(cr_);
    for (const Point& p : outline) cairo_line_to(cr_, p.x, p.y);
    cairo_close_path(cr_);
  }
  void Line(Point a, Point b) {
    cairo_new_path(cr_);
    cairo_move_to(cr_, a.x, a.y);
    cairo_line_to(cr_, b.x, b.y);
  }
  /// Strokes the path; widths and dashes in steps of the line width.
  void Stroke(Ink ink, double width, double dash = 0, double gap = 0, double casing = 0.9) {
    if (casing > 0) {
      cairo_set_dash(cr_, nullptr, 0, 0);
      cairo_set_source_rgba(cr_, 1, 1, 1, 0.75);
      cairo_set_line_width(cr_, (width + 2 * casing) * Unit());
      cairo_stroke_preserve(cr_);
    }
    const double dashes[] = {dash * Unit(), gap * Unit()};
    cairo_set_dash(cr_, dash > 0 ? dashes : nullptr, dash > 0 ? 2 : 0, 0);
    cairo_set_source_rgb(cr_, ink.r, ink.g, ink.b);
    cairo_set_line_width(cr_, width * Unit());
    cairo_stroke(cr_);
    cairo_set_dash(cr_, nullptr, 0, 0);
  }
  void Arrow(Point from, Point to, Ink ink, double width) {
    const Point d = to - from;
    const double length = Norm(d);
    const double head = std::min(6.5 * width * Unit(), length);
    if (length <= 0) return;
    const Point u = (1 / length) * d, n{-u.y, u.x};
    const Point neck = to - head * u;
    Line(from, neck);
    Stroke(ink, width);
    for (const bool casing : {true, false}) {
      cairo_new_path(cr_);
      cairo_move_to(cr_, to.x, to.y);
      cairo_line_to(cr_, neck.x + 0.45 * head * n.x, neck.y + 0.45 * head * n.y);
      cairo_line_to(cr_, neck.x - 0.45 * head * n.x, neck.y - 0.45 * head * n.y);
      cairo_close_path(cr_);
      const Ink c = casing ? kWhite : ink;
      cairo_set_source_rgba(cr_, c.r, c.g, c.b, casing ? 0.75 : 1);
      if (casing) {
        cairo_set_line_width(cr_, 1.6 * Unit());
        cairo_stroke(cr_);
      } else {
        cairo_fill(cr_);
      }
    }
  }
  void Dot(Point at, double radius, Ink ink) {
    cairo_new_path(cr_);
    cairo_arc(cr_, at.x, at.y, radius * Unit(), 0, 2 * std::numbers::pi);
    cairo_set_source_rgb(cr_, ink.r, ink.g, ink.b);
    cairo_fill_preserve(cr_);
    cairo_set_source_rgba(cr_, 1, 1, 1, 0.9);
    cairo_set_line_width(cr_, 0.7 * Unit());
    cairo_stroke(cr_);
  }
  /// Text about a middle point, `size` mm high, on a pale ground when `ground`.
  void Text(Point middle, const std::string& text, double size, bool ground, double align = 0.5) {
    cairo_set_font_size(cr_, size);
    cairo_text_extents_t e;
    cairo_text_extents(cr_, text.c_str(), &e);
    const double left = middle.x - align * e.width, base = middle.y + 0.36 * size;
    if (ground) {
      const double pad = 0.28 * size;
      cairo_set_source_rgba(cr_, 1, 1, 1, 0.8);
      cairo_rectangle(cr_, left - pad, base - 0.72 * size - pad, e.width + 2 * pad, 0.72 * size + 2 * pad);
      cairo_fill(cr_);
    }
    cairo_set_source_rgb(cr_, 0.08, 0.08, 0.08);
    cairo_move_to(cr_, left - e.x_bearing, base);
    cairo_show_text(cr_, text.c_str());
  }
  double Width(const std::string& text, double size) {
    cairo_set_font_size(cr_, size);
    cairo_text_extents_t e;
    cairo_text_extents(cr_, text.c_str(), &e);
    return e.x_advance;
  }
  double Unit() const { return line_ / px_; }  // One line width in mm.
  cairo_t* cairo() const { return cr_; }

 private:
  cairo_t* cr_;
  double px_, line_;
};

void DrawCross(Pen& pen, Point at, double arm, Ink ink) {
  pen.Line(at + Point{-arm, -arm}, at + Point{arm, arm});
  pen.Stroke(ink, 2.2);
  pen.Line(at + Point{-arm, arm}, at + Point{arm, -arm});
  pen.Stroke(ink, 2.2);
}

void DrawSite(Pen& pen, const Plan& plan, const SiteDrift& d, int magnification, double text_mm) {
  const Outline outline = OutlineAt(plan, d.site);
  const Point middle_in_tile = Centroid(outline);
  const Point ideal_middle = Apply(d.ideal, middle_in_tile);
  pen.Trace(Apply(d.ideal, outline));
  pen.Stroke(kBlack, 0.8, 5, 4, 0.6);
  Point label = ideal_middle;
  if (d.state == SiteState::kMissing) {
    const double arm = 1.1 * text_mm;
    DrawCross(pen, ideal_middle, arm, kBlack);
    label.y -= arm + 1.1 * text_mm;
  } else {
    pen.Trace(Apply(d.found, outline));
    if (d.state == SiteState::kWeak) pen.Stroke(kWeak, 2.2, 7, 4);
    else pen.Stroke(kFound, 1.4);
    const Point arrow = magnification * d.shift;
    pen.Arrow(ideal_middle, ideal_middle + arrow, d.beyond_hand ? kCalledOut : kBlack,
              d.beyond_hand ? 2.6 : 1.7);
    pen.Dot(ideal_middle, d.beyond_hand ? 2.6 : 1.8, d.beyond_hand ? kCalledOut : kBlack);
    // The label stands on the side that the arrow does not go to.
    label.y += arrow.y > 0 ? -1.25 * text_mm : 1.25 * text_mm;
  }
  pen.Text(label, SiteLabel(d.site), text_mm, true);
}

// Rulers in the margin: a tick every 10 mm, longer and numbered every 50.
void DrawRulers(Pen& pen, const Sheet& sheet, double text_mm) {
  for (const bool across : {true, false}) {
    const double end = across ? sheet.width_mm : sheet.height_mm;
    for (int mm = 0; mm <= end; mm += 10) {
      const double length = mm % 50 == 0 ? 3.0 : 1.6;
      const Point a = across ? Point{double(mm), -0.6} : Point{-0.6, double(mm)};
      pen.Line(a, across ? Point{a.x, -0.6 - length} : Point{-0.6 - length, a.y});
      pen.Stroke(kBlack, 1.0, 0, 0, 0.7);
      if (mm % 50 != 0) continue;
      const std::string text = mm == 0 && across ? "0 mm" : std::to_string(mm);
      pen.Text(across ? Point{a.x, -3.9 - 0.5 * text_mm} : Point{-4.2, a.y}, text, text_mm, true,
               across ? 0.5 : 1.0);
    }
  }
}

struct LegendEntry {
  std::string text;
  void (*draw)(Pen& pen, Point left, double size);
};

// Signs with their meaning, set in lines as wide as the picture; returns how many lines.
int DrawLegend(Pen& pen, double left, double right, double top, double size, const std::string& arrows, const std::string& ideal,
               bool colours) {
  std::vector<LegendEntry> entries = {
      {"found", [](Pen& p, Point a, double s) { p.Line(a, a + Point{2.4 * s, 0}); p.Stroke(kFound, 1.8); }},
      {"found, weak print",
       [](Pen& p, Point a, double s) { p.Line(a, a + Point{2.4 * s, 0}); p.Stroke(kWeak, 2.4, 7, 4); }},
      {"missing", [](Pen& p, Point a, double s) { DrawCross(p, a + Point{1.2 * s, 0}, 0.45 * s, kBlack); }},
      {ideal,
       [](Pen& p, Point a, double s) { p.Line(a, a + Point{2.4 * s, 0}); p.Stroke(kBlack, 0.9, 5, 4); }},
      {arrows,
       [](Pen& p, Point a, double s) {
         p.Arrow(a + Point{0.2 * s, 0}, a + Point{2.4 * s, 0}, kBlack, 1.7);
         p.Dot(a + Point{0.2 * s, 0}, 1.8, kBlack);
       }},
      {"thick, red: the hand's part is beyond tolerance",
       [](Pen& p, Point a, double s) {
         p.Arrow(a + Point{0.2 * s, 0}, a + Point{2.4 * s, 0}, kCalledOut, 2.6);
         p.Dot(a + Point{0.2 * s, 0}, 2.6, kCalledOut);
       }},
      {"100 mm", nullptr}};
  if (colours) {
    entries.insert(entries.end() - 1, {"between colours; yellow: bare paper", [](Pen& p, Point a, double s) {
                     p.Line(a, a + Point{2.4 * s, 0});
                     p.Stroke(kGround, 0.9 * s / p.Unit(), 0, 0, 0);
                     p.Line(a, a + Point{1.2 * s, 0});
                     p.Stroke(kWhite, 1.2, 0, 0, 0);
                     p.Line(a + Point{1.2 * s, 0}, a + Point{2.4 * s, 0});
                     p.Stroke(kBare, 1.2, 0, 0, 0);
                   }});
  }
  Point at{left, top};
  int lines = 1;
  for (const LegendEntry& e : entries) {
    const double sign = e.draw ? 2.4 * size : 100;
    const double width = sign + 0.7 * size + pen.Width(e.text, size) + 1.8 * size;
    if (at.x > left && at.x + width - 1.8 * size > right) {
      at = {left, at.y + 1.9 * size};
      ++lines;
    }
    if (e.draw) {
      e.draw(pen, at, size);
    } else {
      for (const auto& [a, b] : {std::pair(Point{0, 0}, Point{100, 0}), std::pair(Point{0, -0.5 * size}, Point{0, 0.5 * size}),
                                 std::pair(Point{100, -0.5 * size}, Point{100, 0.5 * size})}) {
        pen.Line(at + a, at + b);
        pen.Stroke(kBlack, 1.6);
      }
    }
    pen.Text(at + Point{sign + 0.7 * size, 0}, e.text, size, false, 0);
    at.x += width;
  }
  return lines;
}

// A surface over memory and its context, both given back at the end.
class Canvas {
 public:
  explicit Canvas(cv::Mat& bgra)
      : surface_(cairo_image_surface_create_for_data(bgra.data, CAIRO_FORMAT_RGB24, bgra.cols, bgra.rows,
                                                     static_cast<int>(bgra.step)),
                 cairo_surface_destroy),
        cr_(cairo_create(surface_.get()), cairo_destroy) {
    cairo_select_font_face(cr_.get(), "sans-serif", CAIRO_FONT_SLANT_NORMAL, CAIRO_FONT_WEIGHT_BOLD);
    cairo_set_line_join(cr_.get(), CAIRO_LINE_JOIN_ROUND);
  }
  cairo_t* get() const { return cr_.get(); }
  void Flush() { cairo_surface_flush(surface_.get()); }

 private:
  std::unique_ptr<cairo_surface_t, decltype(&cairo_surface_destroy)> surface_;
  std::unique_ptr<cairo_t, decltype(&cairo_destroy)> cr_;
};

}  // namespace

double PixelsPerMm(const Sheet& sheet, const PictureOptions& options) {
  return std::min(options.px_per_mm, options.max_width_px / (sheet.width_mm + 2 * options.margin_mm));
}

cv::Mat DrawReadingPicture(const cv::Mat& bgr,
                           const Reading& reading,
                           const DriftReport& drift,
                           const PictureOptions& options,
                           cv::Mat* lined) {
  const Plan& plan = reading.plan;
  const Sheet& sheet = plan.sheet;
  const double width_mm = sheet.width_mm + 2 * options.margin_mm;
  const double px = PixelsPerMm(sheet, options);
  const cv::Mat flat = RectifySheet(bgr, reading.sheet.camera, sheet, px, options.margin_mm);
  // Text 1/75 of the width high: 24 px on a picture of 1800, still read on a phone.
  const double text_mm = width_mm / 75;
  const int magnification = Magnification(plan, drift, false);
  const std::string arrows =
      magnification == 1 ? "drift, true size" : fmt::format("drift, arrows {} x", magnification);
  const double legend_left = -options.margin_mm + text_mm;
  const double legend_right = sheet.width_mm + options.margin_mm - text_mm;
  const double legend_top = sheet.height_mm + options.margin_mm + 1.4 * text_mm;
  cv::Mat blank(1, 1, CV_8UC4);
  const std::string ideal = plan.lattice.fit_origin ? "ideal place (best-fitting lattice)" : "ideal place";
  const bool colours = !reading.sheet.colours.empty();
  Canvas measure(blank);  // How many lines the legend takes.
  Pen measuring(measure.get(), px, 1);
  const int lines = DrawLegend(measuring, legend_left, legend_right, legend_top, text_mm, arrows, ideal, colours);
  const int strip = static_cast<int>(std::lround((1.9 * lines + 0.9) * text_mm * px));

  cv::Mat canvas(flat.rows + strip, flat.cols, CV_8UC4, cv::Scalar::all(250));
  cv::cvtColor(flat, canvas(cv::Rect(0, 0, flat.cols, flat.rows)), cv::COLOR_BGR2BGRA);  // Cairo's RGB24.
  Canvas cr(canvas);
  cairo_scale(cr.get(), px, px);
  cairo_translate(cr.get(), options.margin_mm, options.margin_mm);
  cairo_set_tolerance(cr.get(), 0.25 / px);

  Pen pen(cr.get(), px, std::max(1.0, static_cast<double>(canvas.cols) / 1200));
  pen.Trace({{0, 0}, {sheet.width_mm, 0}, {sheet.width_mm, sheet.height_mm}, {0, sheet.height_mm}});
  pen.Stroke(kBlack, 0.8, 0, 0, 0.6);
  const Lattice& l = plan.lattice;
  const double pitch =
      std::sqrt(std::abs(Cross(l.across, l.down)) / static_cast<double>(std::max<std::size_t>(1, l.cell.size())));
  const double label_mm = std::min(0.8 * text_mm, 0.14 * pitch);
  for (const SiteDrift& d : drift.sites) DrawSite(pen, plan, d, magnification, label_mm);
  DrawRulers(pen, sheet, 0.62 * text_mm);
  DrawLegend(pen, legend_left, legend_right, legend_top, text_mm, arrows, ideal, colours);
  cr.Flush();
  cv::Mat out;
  cv::cvtColor(canvas, out, cv::COLOR_BGRA2BGR);
  if (lined != nullptr) {
    // Beneath the marks: wherever they left the photo as it was, the lines show.
    *lined = out.clone();
    cv::Mat under = flat.clone(), top = (*lined)(cv::Rect(0, 0, flat.cols, flat.rows));
    DrawRegionLines(under, reading, options);
    for (int j = 0; j < flat.rows; ++j) {
      const auto *was = flat.ptr<cv::Vec3b>(j), *with = under.ptr<cv::Vec3b>(j);
      auto* now = top.ptr<cv::Vec3b>(j);
      for (int i = 0; i < flat.cols; ++i) now[i] = now[i] == was[i] ? with[i] : now[i];
    }
  }
  return out;
}

}  // namespace truepull
