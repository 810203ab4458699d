// SPDX-License-Identifier: Apache-2.0
#include "truepull/template_pages.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "guide/furniture.h"
#include "guide/make_marks.h"
#include "truepull/units.h"

namespace truepull {
namespace {

constexpr double kLeastWidthMm = 210;  // A4; the bar along x and its words need 200.
constexpr double kHeadMm = 26;
constexpr double kTickMm = 6.5;  // As on the guide.

const char* const kCautions[] = {
    "Cut and scratch away from the body and from the other hand; hold the plate against a stop.",
    "Cap and count blades; round the corners and rub down the edges of plastic before it is used.",
    "Print at 100 %. Measure both bars: each must be 100 mm from end stroke to end stroke.",
};

Point Mirrored(Point p) { return {-p.x, p.y}; }

// Weak places and faults, ringed and measured.
void AddRings(const TemplateRequest& r, bool mirrored, Point by, std::vector<Mark>& out) {
  for (const WeakPlace& w : r.weak_places) {
    const Point p = by + (mirrored ? Mirrored(w.at) : w.at);
    out.push_back(Closed(MarkRole::kSign, Circle(p, 3), {Ink::kOrange, 0.3, Dash::kShort}));
    const std::string words = w.kind == WeakPlace::Kind::kNeck ? fmt::format("neck {:.1f} mm", w.width_mm)
                                                               : fmt::format("point {:.0f}\u00b0", DegFromRad(w.angle_rad));
    out.push_back(Words(words, {p.x + 3.6, p.y + 0.9}, 1.8));
  }
  for (const Point& f : r.faults) {
    const Point p = by + (mirrored ? Mirrored(f) : f);
    out.push_back(Closed(MarkRole::kSign, Circle(p, 4), {Ink::kBlue, 0.4, Dash::kLong}));
  }
}

void AddDrawing(const TileDrawing& drawing, bool mirrored, Point by, GuidePage& page) {
  for (const DrawnLine& line : drawing.lines) {
    std::vector<Point> placed;
    for (const Point p : line.points) placed.push_back(by + (mirrored ? Mirrored(p) : p));
    page.marks.push_back((line.closed ? Closed : Line)(MarkRole::kDrawing, placed, {Ink::kGrey, 0.25, Dash::kFull}));
  }
  const std::string& png = mirrored ? drawing.png_mirrored : drawing.png;
  if (png.empty()) return;
  Box box = drawing.png_box;
  if (mirrored) box = {-box.right, box.top, -box.left, box.bottom};
  page.pictures.push_back({png, {box.left + by.x, box.top + by.y, box.right + by.x, box.bottom + by.y}});
}

// One page with the outline at true size.
GuidePage OutlinePage(const TemplateRequest& r, bool mirrored) {
  Outline outline = r.outline;
  if (mirrored) std::transform(outline.begin(), outline.end(), outline.begin(), Mirrored);
  const Box box = BoundingBox(outline);
  GuidePage page;
  const double room = 14;  // Round the outline, for ticks and the top mark.
  page.width_mm = std::max(kLeastWidthMm, box.Width() + 2 * room + 2 * kPageMarginMm + kSideMm);
  const double body = std::max(box.Height() + 2 * room, kBarMm + 12);
  const double left = kPageMarginMm + kSideMm, top = kPageMarginMm + kHeadMm;
  const Point middle{(left + page.width_mm - kPageMarginMm) / 2, top + body / 2};
  const Point by = middle - Point{(box.left + box.right) / 2, (box.top + box.bottom) / 2};
  page.sheet_at = by;
  page.window = {-by.x, -by.y, page.width_mm - by.x, 0};

  auto& out = page.marks;
  const auto at = [&](Point p) { return p + by; };
  std::vector<Point> placed;
  for (const Point& p : outline) placed.push_back(at(p));
  out.push_back(Closed(MarkRole::kOutline, placed, {Ink::kBlack, 0.25, Dash::kFull}));

  // Register ticks at the two points furthest apart, straight away from the middle.
  const auto pairs = TickPoints(r.ticks_of.empty() ? r.outline : r.ticks_of);
  if (!pairs.empty()) {
    for (Point p : pairs[0]) {
      if (mirrored) p = Mirrored(p);
      const Point away = p - Centroid(outline);
      const Point end = p + (kTickMm / std::max(Norm(away), 1e-9)) * away;
      out.push_back(Line(MarkRole::kTick, {at(p), at(end)}, {Ink::kBlack, 0.25, Dash::kFull}));
    }
  }
  // The top of the tile, and a letter that shows a page or plate that lies the wrong way.
  const double x = middle.x;
  const double above = by.y + box.top - 4;
  out.push_back(Filled(MarkRole::kSign, {{x, above - 4}, {x + 2.2, above}, {x - 2.2, above}}, Ink::kBlack));
  out.push_back(Words("top", {x + 4, above}, 2.6));
  std::vector<Mark> letter;
  // Inside the tile, or beside the top mark where a drawing fills it.
  const bool bare = r.drawing.png.empty() && r.drawing.lines.empty();
  const double size = bare ? std::min({12.0, box.Width() / 4, box.Height() / 4}) : 7;
  const Point inside = bare ? Centroid(outline) : Point{x - by.x - 8, box.top - 4 - size / 2};
  AddLetter({inside.x - 0.35 * size, inside.y - size / 2, inside.x + 0.35 * size, inside.y + size / 2}, letter);
  for (Mark m : letter) {
    if (mirrored) {
      if (auto* path = std::get_if<PathMark>(&m.what)) {
        for (Point& p : path->points) p.x = 2 * inside.x - p.x;
      }
    }
    out.push_back(Moved(m, by));
  }
  AddRings(r, mirrored, by, out);
  AddDrawing(r.drawing, mirrored, by, page);

  const double inner = page.width_mm - 2 * kPageMarginMm;
  out.push_back(Words(r.title, {kPageMarginMm, kPageMarginMm + 5}, 4, Anchor::kStart, true));
  if (!r.code.empty()) out.push_back(Words(r.code, {page.width_mm - kPageMarginMm, kPageMarginMm + 8}, 8, Anchor::kEnd, true));
  out.push_back(Words(mirrored ? "MIRRORED: for the plate's drawing face" : "AS IT PRINTS: seen on the paper",
                      {kPageMarginMm, kPageMarginMm + 12}, 3.2, Anchor::kStart, true));
  double y = kPageMarginMm + 17;
  const std::string how =
      mirrored ? "Lay this page under the plate, printed side up, and trace it on the upper face: that face "
                 "takes the colour and prints. The R reads right in the print."
               : "The plate, laid on this page with its printing face down, must cover the outline.";
  for (const std::string& line : Wrap(how, inner, 2.4)) {
    out.push_back(Words(line, {kPageMarginMm, y}, 2.4));
    y += 4;
  }
  AddBarY({kPageMarginMm + 3, top + 4}, out);
  double below = top + body + 7;
  AddBarX({left, below}, out);
  below += 9;
  const auto say = [&](const std::string& sentence) {
    for (const std::string& line : Wrap(sentence, inner - kSideMm, 2.4)) {
      out.push_back(Words(line, {left, below}, 2.4));
      below += 4;
    }
  };
  if (!r.weak_places.empty()) say("Broken rings: too thin or too sharp to cut or to last.");
  if (!r.faults.empty()) say("Long broken rings: the edge does not fit its partner here.");
  const bool two_plates = std::any_of(r.cell.begin(), r.cell.end(), [](const CellMember& m) { return m.mirrored; });
  if (two_plates && !mirrored) say("The second, mirrored plate: lay this page under it, printed side up, and trace it on the upper face; that face takes the colour.");
  for (const char* caution : kCautions) say(caution);
  page.height_mm = std::ceil(below + kPageMarginMm);
  page.window.bottom = page.height_mm - by.y;
  return page;
}

// The tiles round the first one.
std::vector<Outline> Neighbours(const TemplateRequest& r) {
  std::vector<Outline> out;
  for (int i = -2; i <= 2; ++i) {
    for (int j = -2; j <= 2; ++j) {
      for (std::size_t k = 0; k < r.cell.size(); ++k) {
        if (i == 0 && j == 0 && k == 0) continue;
        const CellMember& m = r.cell[k];
        Outline tile = r.outline;
        if (m.mirrored) std::transform(tile.begin(), tile.end(), tile.begin(), Mirrored);
        out.push_back(Apply(Pose{m.at + static_cast<double>(i) * r.steps.across + static_cast<double>(j) * r.steps.down, m.turn_rad}, tile));
      }
    }
  }
  return out;
}

GuidePage PatternPage(const TemplateRequest& r) {
  GuidePage page;
  page.width_mm = kLeastWidthMm;
  const Box window{kPageMarginMm, kPageMarginMm + 16, page.width_mm - kPageMarginMm, kPageMarginMm + 16 + 130};
  // At least three tiles each way in the window.
  const Box box = BoundingBox(r.outline);
  const double wide = std::max(box.Width(), Norm(r.steps.across)), high = std::max(box.Height(), Norm(r.steps.down));
  const double scale = std::min({1.0, window.Width() / (3 * wide), window.Height() / (3 * high)});
  const Point middle{(window.left + window.right) / 2, (window.top + window.bottom) / 2};
  const Point centre = Centroid(r.outline);
  constexpr Ink kInks[] = {Ink::kPale, Ink::kGrey};
  const double det = Cross(r.steps.across, r.steps.down);
  // As many steps as reach the window's corners, whichever way the lattice leans.
  const double reach = (window.Width() + window.Height()) / scale + 2 * Radius(r.outline);
  const int n = std::min(60, 1 + static_cast<int>(reach * std::max(Norm(r.steps.across), Norm(r.steps.down)) / det));
  std::vector<Mark> fills, lines;
  for (int i = -n; i <= n; ++i) {
    for (int j = -n; j <= n; ++j) {
      for (std::size_t k = 0; k < r.cell.size(); ++k) {
        const CellMember& m = r.cell[k];
        const Pose pose{m.at + static_cast<double>(i) * r.steps.across + static_cast<double>(j) * r.steps.down,
                        m.turn_rad};
        std::vector<Point> placed;
        bool inside = true;
        for (Point p : r.outline) {
          if (m.mirrored) p = Mirrored(p);
          const Point q = middle + scale * (Apply(pose, p) - centre);
          inside = inside && q.x >= window.left && q.x <= window.right && q.y >= window.top && q.y <= window.bottom;
          placed.push_back(q);
        }
        if (!inside) continue;
        // Neighbours by shift differ; members of a cell are told apart by the outline alone.
        const auto shade = static_cast<std::size_t>(((i + j) % 2 + 2) % 2 + static_cast<int>(k)) % 2;
        // Tiles that overlap are shown by their lines alone.
        if (!r.nearest) fills.push_back(Filled(MarkRole::kMap, placed, kInks[shade]));
        lines.push_back(Closed(MarkRole::kMap, placed, {Ink::kBlack, 0.25, Dash::kFull}));
      }
    }
  }
  page.marks = fills;
  page.marks.insert(page.marks.end(), lines.begin(), lines.end());
  page.marks.push_back(Words(r.title, {kPageMarginMm, kPageMarginMm + 5}, 4, Anchor::kStart, true));
  const std::string what = r.nearest ? "The nearest way to fit them together, which does not close" : "Fitted together";
  const std::string size = scale == 1 ? "true size" : fmt::format("at {:.0f} % of its size", 100 * scale);
  page.marks.push_back(Words(what + ", " + size, {kPageMarginMm, kPageMarginMm + 11}, 2.8));
  page.height_mm = window.bottom + kPageMarginMm;
  page.window = {0, 0, page.width_mm, page.height_mm};
  return page;
}

}  // namespace

std::vector<GuidePage> LayOutTemplate(const TemplateRequest& request) {
  std::vector<GuidePage> pages{OutlinePage(request, false), OutlinePage(request, true)};
  if ((request.repeats || request.nearest) && request.pattern) pages.push_back(PatternPage(request));
  return pages;
}

GuidePage LayOutTilePicture(const TemplateRequest& r) {
  constexpr double kRound = 12, kFoot = 14;
  const Box box = BoundingBox(r.outline);
  GuidePage page;
  page.width_mm = std::max(60.0, box.Width() + 2 * kRound);
  page.height_mm = box.Height() + 2 * kRound + kFoot;
  const Point by{page.width_mm / 2 - (box.left + box.right) / 2, kRound - box.top};
  page.sheet_at = by;
  page.window = {-by.x, -by.y, page.width_mm - by.x, page.height_mm - by.y};
  const Box seen{0, 0, page.width_mm, page.height_mm - kFoot};
  std::vector<Mark>& out = page.marks;
  const auto placed = [&](const Outline& outline) {
    std::vector<Point> points;
    for (const Point p : outline) points.push_back(p + by);
    return points;
  };
  if (r.repeats) {
    for (const Outline& tile : Neighbours(r)) {
      for (const Mark& m : ClipMark(Closed(MarkRole::kMap, placed(tile), {Ink::kPale, 0.3, Dash::kFull}), seen)) out.push_back(m);
    }
  }
  AddDrawing(r.drawing, false, by, page);
  out.push_back(Closed(MarkRole::kOutline, placed(r.outline), {Ink::kBlack, 0.35, Dash::kFull}));
  AddRings(r, false, by, out);
  const double base = page.height_mm - 4;
  for (const auto& [a, b] : {std::pair(Point{4, base}, Point{14, base}), std::pair(Point{4, base - 1.5}, Point{4, base + 1.5}),
                             std::pair(Point{14, base - 1.5}, Point{14, base + 1.5})}) {
    out.push_back(Line(MarkRole::kBar, {a, b}, {Ink::kBlack, 0.3, Dash::kFull}));
  }
  out.push_back(Words("10 mm", {15.5, base + 0.9}, 1.8));
  const std::string words = (r.code.empty() ? "" : r.code + ", ") + "as it prints";
  out.push_back(Words(words, {page.width_mm - 4, base + 0.9}, 1.8, Anchor::kEnd));
  if (!r.faults.empty()) out.push_back(Words("Long broken rings: does not fit its partner", {4, base - 4}, 1.8));
  if (!r.weak_places.empty()) out.push_back(Words("Broken rings: too thin or too sharp", {4, base - 7}, 1.8));
  return page;
}

}  // namespace truepull
