// SPDX-License-Identifier: Apache-2.0
#include "truepull/layout_pages.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>

#include "guide/make_marks.h"

namespace truepull {
namespace {

constexpr double kShortMm = 210, kLongMm = 297;  // A4.
constexpr double kSentenceMm = 2.6;

std::string ColourName(const LayoutPagesRequest& r, int colour) {
  const auto k = static_cast<std::size_t>(colour);
  return k < r.colour_names.size() ? r.colour_names[k] : fmt::format("colour {}", colour + 1);
}

// Whether dark words can be read on a colour.
bool IsLight(const std::string& hex) {
  if (hex.size() != 7) return true;
  const auto part = [&](std::size_t at) { return std::stoi(hex.substr(at, 2), nullptr, 16); };
  return 0.2126 * part(1) + 0.7152 * part(3) + 0.0722 * part(5) > 120;
}

std::string PlateName(const LayoutPagesRequest& r, const PlannedPull& p) {
  const Plan& plan = *r.plan;
  std::string name = plan.plates.size() == 1 ? "the plate" : "plate " + plan.plates[static_cast<std::size_t>(p.plate)].name;
  if (p.mirrored) name = plan.plates.size() == 1 ? "the mirrored plate" : "the mirrored " + name;
  return name;
}

// A place well inside an outline: the centre of area, or the deepest of a few points.
Point Inside(const Outline& outline) {
  const Point middle = Centroid(outline);
  Point best = middle;
  const Box b = BoundingBox(outline);
  double depth = SignedDistance(outline, middle);
  const double enough = 0.6 * depth;
  if (depth > 0.2 * std::min(b.Width(), b.Height())) return middle;
  for (int i = 1; i < 12; ++i) {
    for (int j = 1; j < 12; ++j) {
      const Point p{b.left + b.Width() * i / 12, b.top + b.Height() * j / 12};
      const double d = SignedDistance(outline, p);
      if (d > std::max(depth, enough)) depth = d, best = p;
    }
  }
  return best;
}

// What is drawn inside a tile: scratched, so bare paper where the body has a colour.
template <typename Placed>
void AddDrawing(const Plan& plan, Site site, Placed at, double scale, bool on_colour, std::vector<Mark>& out) {
  const bool mirrored = MemberAt(plan.lattice, site).mirrored;
  const Pose pose = IdealPose(plan.lattice, site);
  for (const DrawnLine& line : PlateAt(plan, site).drawn) {
    std::vector<Point> points;
    for (const Point p : line.points) points.push_back(at(Apply(pose, mirrored ? Point{-p.x, p.y} : p)));
    Mark mark = (line.closed ? Closed : Line)(MarkRole::kDrawing, points, {Ink::kGrey, std::max(0.15, 0.5 * scale), Dash::kFull});
    if (on_colour) std::get<PathMark>(mark.what).colour = "#ffffff";
    out.push_back(mark);
  }
}

// The sheet in a box of the page: edge, margins, tiles. `big_number`: the pull's number
// large and the label small, as on the pull-order page; else the other way round.
void AddSheet(const LayoutPagesRequest& r, const Box& box, bool coloured, bool big_number, std::vector<Mark>& out) {
  const Plan& plan = *r.plan;
  const double w = plan.sheet.width_mm, h = plan.sheet.height_mm;
  const double scale = std::min({1.0, box.Width() / w, box.Height() / h});
  const Point corner{(box.left + box.right - scale * w) / 2, box.top};
  const auto at = [&](Point p) { return corner + scale * p; };
  const auto placed = [&](const Outline& o) {
    std::vector<Point> points;
    for (const Point p : o) points.push_back(at(p));
    return points;
  };
  out.push_back(Closed(MarkRole::kSheet, placed({{0, 0}, {w, 0}, {w, h}, {0, h}}), {Ink::kBlack, 0.4, Dash::kFull}));
  if (r.margin_mm > 0) {
    const double m = r.margin_mm;
    out.push_back(Closed(MarkRole::kSheet, placed({{m, m}, {w - m, m}, {w - m, h - m}, {m, h - m}}), {Ink::kGrey, 0.15, Dash::kShort}));
  }
  std::map<Site, int> number;
  for (std::size_t k = 0; k < r.order->pulls.size(); ++k) number[r.order->pulls[k].site] = static_cast<int>(k) + 1;
  std::vector<Mark> fills, lines, words;
  for (const Site site : AllSites(plan.lattice)) {
    const std::vector<Point> outline = placed(Apply(IdealPose(plan.lattice, site), OutlineAt(plan, site)));
    const int colour = PlannedColour(plan, site);
    const std::string hex = colour < 0 ? "" : plan.colours[static_cast<std::size_t>(colour)];
    Ink ink = Ink::kBlack;
    if (coloured) {
      Mark fill = Filled(MarkRole::kOutline, outline, Ink::kPale);
      std::get<PathMark>(fill.what).colour = hex;
      fills.push_back(fill);
      if (!IsLight(hex)) ink = Ink::kPale;
    }
    std::string edge = plan.edge_colour;
    Mark line = Closed(MarkRole::kOutline, outline, {Ink::kBlack, coloured ? 0.5 : 0.2, Dash::kFull});
    if (coloured) std::get<PathMark>(line.what).colour = edge;
    lines.push_back(line);
    if (coloured) AddDrawing(plan, site, at, scale, !hex.empty(), lines);
    const Point middle = Inside(outline);
    const double room = 2 * std::max(0.5, SignedDistance(outline, middle));
    std::string label = SiteLabel(site), pull = fmt::format("{}", number[site]);
    if (!coloured && colour >= 0) label += static_cast<char>(' '), label += ColourName(r, colour);
    const std::string& upper = big_number ? pull : label;
    const std::string lower = big_number ? label : "no. " + pull;
    const double big = std::min({big_number ? 6.0 : 4.5, 0.36 * room, 0.8 * room / TextWidth(upper, 1, true)});
    const double small = std::min({2.4, 0.2 * room, 0.85 * room / TextWidth(lower, 1, false)});
    const double top = middle.y - (big + 0.8 * small + small) / 2;
    Mark a = Words(upper, {middle.x, top + big}, big, Anchor::kMiddle, true);
    Mark b = Words(lower, {middle.x, top + big + 1.8 * small}, small, Anchor::kMiddle);
    for (Mark* m : {&a, &b}) {
      m->role = MarkRole::kLabel;
      std::get<TextMark>(m->what).ink = ink;
      words.push_back(*m);
    }
  }
  for (const auto* part : {&fills, &lines, &words}) out.insert(out.end(), part->begin(), part->end());
}

double SheetHeight(const LayoutPagesRequest& r, double width, double most) {
  const Sheet& s = r.plan->sheet;
  return s.height_mm * std::min({1.0, width / s.width_mm, most / s.height_mm});
}

void AddTitle(const LayoutPagesRequest& r, const std::string& what, GuidePage& page) {
  const double inner = page.width_mm - 2 * kPageMarginMm;
  const std::string title = r.plan->title.empty() ? what : r.plan->title + ": " + what;
  page.marks.push_back(Words(title, {kPageMarginMm, kPageMarginMm + 5}, FittingCap(title, inner, 4.2, 2, true), Anchor::kStart, true));
  page.window = {0, 0, page.width_mm, page.height_mm};
}

std::string Minutes(double m) { return fmt::format("{:g}", std::round(10 * m) / 10); }

// One step of the order, and its mark: a step is either pulls or something between them.
struct Step {
  std::string head;     // Bold.
  std::string text;
  bool heading = false; // Of a lesson: nothing to do, so no box to tick.
};

std::vector<Step> StepsOf(const LayoutPagesRequest& r) {
  std::vector<Step> steps;
  const auto& pulls = r.order->pulls;
  for (std::size_t k = 0; k < pulls.size();) {
    const PlannedPull& p = pulls[k];
    const bool new_lesson = k == 0 || p.lesson != pulls[k - 1].lesson;
    const std::string after = k == 0 ? "" : fmt::format("After pull {}: ", k);
    if (new_lesson) {
      if (k > 0) steps.push_back({after + "wash the plate" + (r.order->plates > 1 ? "s" : "") + "; the lesson is over", "", false});
      if (r.times.lesson_min) {
        std::size_t last = k;
        while (last + 1 < pulls.size() && pulls[last + 1].lesson == p.lesson) ++last;
        steps.push_back({fmt::format("Lesson {} of {}: pulls {} to {}, {} minutes", p.lesson + 1, r.order->lessons, k + 1, last + 1,
                                     Minutes(pulls[last].starts_min + r.times.minutes_per_pull)), "", true});
      }
      if (p.damp_before) steps.push_back({k == 0 || r.times.lesson_min ? "Begin with an evenly damp sheet" : after + "damp the sheet", "", false});
    } else {
      std::string what;
      if (p.wash_before) what = "wash " + PlateName(r, p);
      if (p.damp_before) what += (what.empty() ? "damp" : ", and damp") + std::string(" the sheet from the back");
      if (!what.empty()) steps.push_back({after + what, "", false});
    }
    std::size_t end = k + 1;
    const auto alike = [&](const PlannedPull& q) {
      return q.colour == p.colour && q.plate == p.plate && q.mirrored == p.mirrored && q.round == p.round &&
             q.lesson == p.lesson && !q.damp_before && !q.wash_before;
    };
    while (end < pulls.size() && alike(pulls[end])) ++end;
    std::string head = end == k + 1 ? fmt::format("Pull {}", k + 1) : fmt::format("Pulls {} to {}", k + 1, end);
    if (p.colour >= 0) head += ", " + ColourName(r, p.colour);
    if (r.order->plates > 1) head += ", " + PlateName(r, p);
    if (p.round > 0) head += fmt::format(", round {}", p.round + 1);
    std::string sites;
    for (std::size_t i = k; i < end; ++i) sites += (i == k ? "" : "  ") + SiteLabel(pulls[i].site);
    steps.push_back({head, sites, false});
    k = end;
  }
  const bool several = r.order->plates > 1;
  steps.push_back({fmt::format("After pull {}: wash the plate{}", pulls.size(), several ? "s" : ""), "", false});
  return steps;
}

}  // namespace

std::vector<std::string> PullOrderSteps(const LayoutPagesRequest& request) {
  std::vector<std::string> out;
  for (const Step& s : StepsOf(request)) out.push_back(s.text.empty() ? s.head : s.head + ": " + s.text);
  return out;
}

GuidePage LayOutPreview(const LayoutPagesRequest& r) {
  GuidePage page;
  const bool wide = r.plan->sheet.width_mm >= r.plan->sheet.height_mm;
  page.width_mm = wide ? kLongMm : kShortMm;
  const double inner = page.width_mm - 2 * kPageMarginMm;
  std::vector<std::string> lines;
  for (const std::string& s : r.summary) {
    for (const std::string& line : Wrap(s, inner, kSentenceMm)) lines.push_back(line);
  }
  const double key = r.plan->colours.empty() ? 0 : 9;
  const double page_height = wide ? kShortMm : kLongMm;
  const double words = key + 4.2 * static_cast<double>(lines.size()) + 6;
  const double top = kPageMarginMm + 10;
  const double height = SheetHeight(r, inner, std::max(60.0, page_height - top - words - kPageMarginMm));
  page.height_mm = std::max(page_height, top + height + words + kPageMarginMm);
  AddTitle(r, "preview", page);
  AddSheet(r, {kPageMarginMm, top, page.width_mm - kPageMarginMm, top + height}, true, false, page.marks);
  double y = top + height + 6;
  double x = kPageMarginMm;
  for (std::size_t k = 0; k < r.plan->colours.size(); ++k) {
    const std::string name = fmt::format("{} {}", ColourName(r, static_cast<int>(k)), r.plan->colours[k]);
    const double width = 8 + TextWidth(name, kSentenceMm, false) + 6;
    if (x + width > page.width_mm - kPageMarginMm) break;  // The list of pulls names them all.
    Mark swatch = Filled(MarkRole::kMap, Rectangle({x, y - 3, x + 6, y + 1}), Ink::kPale);
    std::get<PathMark>(swatch.what).colour = r.plan->colours[k];
    page.marks.push_back(swatch);
    page.marks.push_back(Words(name, {x + 8, y}, kSentenceMm));
    x += width;
  }
  y += key > 0 ? 7 : 0;
  for (const std::string& line : lines) {
    page.marks.push_back(Words(line, {kPageMarginMm, y}, kSentenceMm));
    y += 4.2;
  }
  return page;
}

std::vector<GuidePage> LayOutPullOrder(const LayoutPagesRequest& r) {
  std::vector<GuidePage> pages;
  const double inner = kShortMm - 2 * kPageMarginMm, bottom = kLongMm - kPageMarginMm - 5;
  double y = 0;
  const auto begin_page = [&] {
    GuidePage page;
    page.width_mm = kShortMm;
    page.height_mm = kLongMm;
    AddTitle(r, pages.empty() ? "pull order" : "pull order, continued", page);
    pages.push_back(page);
    y = kPageMarginMm + 12;
  };
  begin_page();
  const std::string far = r.times.left_handed ? "FAR SIDE: begin here, from right to left (left hand)" : "FAR SIDE: begin here, from left to right (right hand)";
  pages[0].marks.push_back(Words(far, {kShortMm / 2, y + 2}, 2.8, Anchor::kMiddle, true));
  y += 5;
  const double height = SheetHeight(r, inner, 125);
  AddSheet(r, {kPageMarginMm, y, kShortMm - kPageMarginMm, y + height}, false, true, pages[0].marks);
  y += height + 5;
  pages[0].marks.push_back(Words("YOU STAND HERE", {kShortMm / 2, y}, 2.8, Anchor::kMiddle, true));
  y += 8;
  const auto say = [&](const std::string& text, double x, double cap, bool bold, double gap) {
    for (const std::string& line : Wrap(text, inner - x, cap, bold)) {
      if (y + cap > bottom) begin_page();
      pages.back().marks.push_back(Words(line, {kPageMarginMm + x, y + cap}, cap, Anchor::kStart, bold));
      y += cap + gap;
    }
  };
  const PullOrder& o = *r.order;
  say(fmt::format("{} pulls, {} minutes a pull: {} minutes with {} wash{} of the plate{}{}.", o.pulls.size(), Minutes(r.times.minutes_per_pull),
                  Minutes(o.minutes), o.washes, o.washes == 1 ? "" : "es", o.plates > 1 ? "s" : "",
                  o.dampings > 0 ? fmt::format(" and {} damping{} (every {} minutes)", o.dampings, o.dampings == 1 ? "" : "s", Minutes(*r.times.damp_every_min)) : ""),
      0, 2.8, false, 1.6);
  if (o.pulls.size() > 1 && (o.pulls.front().colour != o.pulls.back().colour || o.pulls.back().round > 0)) {
    say("From the second colour or round on, near tiles are wet already: rest the hand on a board laid across two battens.", 0, 2.8, false, 1.6);
  }
  y += 2;
  for (const Step& s : StepsOf(r)) {
    if (y + 9 > bottom) begin_page();
    if (s.heading) {
      y += 2;
      say(s.head, 0, 3.4, true, 2.2);
      continue;
    }
    // A box to tick off as the work goes on.
    pages.back().marks.push_back(Closed(MarkRole::kSign, Rectangle({kPageMarginMm, y, kPageMarginMm + 3, y + 3}), {Ink::kBlack, 0.25, Dash::kFull}));
    say(s.head, 6, 3.0, true, 1.6);
    if (!s.text.empty()) say(s.text, 6, 3.0, false, 1.6);
    y += 1.6;
  }
  if (pages.size() > 1) {
    for (std::size_t k = 0; k < pages.size(); ++k) {
      pages[k].label = fmt::format("page {} of {}", k + 1, pages.size());
      pages[k].marks.push_back(Words(pages[k].label, {kShortMm - kPageMarginMm, kLongMm - kPageMarginMm}, 2.4, Anchor::kEnd));
    }
  }
  return pages;
}

}  // namespace truepull
