// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <set>
#include <utility>

#include "guide/furniture.h"
#include "guide/make_marks.h"
#include "guide/sheet_split.h"

namespace truepull {
namespace {

constexpr double kLocatorRingMm = 3, kLocatorFreeMm = 1;

// Grey broken lines where the page may be cut: only where a page joins on.
void AddCutLines(const Guide& guide, const Box& w, Point offset, std::vector<Mark>& out) {
  const Stroke stroke{Ink::kGrey, 0.15, Dash::kShort};
  const auto cut = [&](Point a, Point b) {
    out.push_back(Line(MarkRole::kCut, {a + offset, b + offset}, stroke));
  };
  if (w.left > -kBorderMm + 1e-6) cut({w.left, w.top}, {w.left, w.bottom});
  if (w.right < guide.width_mm + kBorderMm - 1e-6) cut({w.right, w.top}, {w.right, w.bottom});
  if (w.top > -kBorderMm + 1e-6) cut({w.left, w.top}, {w.right, w.top});
  if (w.bottom < guide.height_mm + kBorderMm - 1e-6) cut({w.left, w.bottom}, {w.right, w.bottom});
}

double Apart(const Box& a, const Box& b) {
  const double dx = std::max({0.0, a.left - b.right, b.left - a.right}), dy = std::max({0.0, a.top - b.bottom, b.top - a.bottom});
  return std::hypot(dx, dy);
}

// A ring round a feature, its letter where there is most room, beside the ring if it can be.
void AddLocator(Point at, const char* name, std::vector<Mark>& out) {
  constexpr double kEnoughMm = 2;
  const std::vector<Segment> lines = SegmentsOf(out);
  TextMark best;
  double best_clearance = -1;
  for (const double off : {3.6, 5.5, 8.0, 11.0}) {
    for (int i = 0; i < 12 && best_clearance < 1; ++i) {
      TextMark t;
      t.text = name;
      t.cap_mm = 4;
      t.bold = true;
      t.anchor = Anchor::kMiddle;
      t.at = at + Rotation(i * std::numbers::pi / 6) * Point{kLocatorRingMm + off, 0} + Point{0, t.cap_mm / 2};
      double clearance = Clearance(TextBox(t), lines, kEnoughMm);
      for (const Mark& m : out) {
        // A word may hold another whole: then none of its sides is near.
        if (const auto* text = std::get_if<TextMark>(&m.what)) clearance = std::min(clearance, Apart(TextBox(t), TextBox(*text)));
      }
      if (clearance > best_clearance) best = t, best_clearance = clearance;
    }
  }
  out.push_back(Closed(MarkRole::kLocator, Circle(at, kLocatorRingMm), {Ink::kOrange, 0.4, Dash::kFull}));
  // Four fine strokes towards the middle, which stays free: the eye halves what is left.
  for (int i = 0; i < 4; ++i) {
    const Point d = Rotation(i * std::numbers::pi / 2) * Point{1, 0};
    out.push_back(Line(MarkRole::kLocator, {at + kLocatorFreeMm * d, at + kLocatorRingMm * d}, {Ink::kOrange, 0.15, Dash::kFull}));
  }
  out.push_back({MarkRole::kLocator, "", best});
}

// A small name that a ring would run through goes: its tick is told by the ring's own words.
void ClearOfRing(Point at, std::vector<Mark>& marks) {
  std::erase_if(marks, [&](const Mark& m) {
    const auto* text = std::get_if<TextMark>(&m.what);
    if (text == nullptr || (m.role != MarkRole::kTick && m.role != MarkRole::kStop)) return false;
    return Apart(TextBox(*text), {at.x, at.y, at.x, at.y}) < kLocatorRingMm + 0.8;
  });
}

std::string PlacedBy(const Guide& guide, const SplitPage& page) {
  if (!UseLookOf(guide.use).laid_on_sheet) return "Not laid on the sheet: lay the plate on this page's sites.";
  std::string out = "Place this page: ";
  const bool several = page.in_openings.size() > 1;
  if (!page.in_openings.empty()) {
    out += fmt::format("impression{} {}{} show{} in {} with an even rim", several ? "s" : "", page.in_openings[0].name,
                       several ? " and " + page.in_openings[1].name : "", several ? "" : "s", several ? "their openings" : "its opening");
  } else if (!page.placed_by.empty()) {
    out += fmt::format("ring P on {}, ring Q on {}", page.placed_by[0].name, page.placed_by[1].name);
    if (guide.mirrored) out += ", both seen through the sheet";
    if (guide.use == GuideUse::kMask) out += "; punch the rings out to see them";
  } else {
    return out + fmt::format("the sheet's {} edges on their lines, its corner in the bracket.", page.edges);
  }
  if (!page.edges.empty()) out += fmt::format("; the sheet's {} edges then lie on their lines", page.edges);
  return out + ".";
}

}  // namespace

double HeaderOf(const Guide& guide, PagesHow how) {
  return (how == PagesHow::kJoined ? kHeaderMm : kPlacedHeaderMm) + (guide.use == GuideUse::kMask ? kCautionsMm : 0);
}

void AddCautions(const Guide& guide, Point at, double width_mm, std::vector<Mark>& out) {
  if (guide.use != GuideUse::kMask) return;
  for (const std::string& caution : guide.words.cautions) {
    at.y += 3.3;
    out.push_back(Words(caution, at, FittingCap(caution, width_mm, 2.2, 1.6, false)));
  }
}

std::vector<GuidePage> DrawSplit(const Guide& guide, const SheetSplit& split, std::size_t first, std::size_t total) {
  const bool joined = split.how == PagesHow::kJoined;
  const double header = HeaderOf(guide, split.how);
  const PageSize room = RoomOn(split.paper, header);
  std::vector<std::vector<Mark>> joins(split.pages.size());
  if (joined) joins = JoinMarks(guide, split.grid);
  PageMap map{guide.width_mm, guide.height_mm, {}, -1, static_cast<int>(first)};
  for (const SplitPage& p : split.pages) map.windows.push_back(p.window);
  SeparateWindows(map);

  std::vector<GuidePage> pages;
  for (std::size_t i = 0; i < split.pages.size(); ++i) {
    const SplitPage& part = split.pages[i];
    GuidePage page;
    page.label = fmt::format("page {} of {}{}{}", first + i, total, part.name.empty() ? "" : ": ", part.name);
    if (!guide.set_label.empty()) page.label += "; " + guide.set_label;
    page.width_mm = split.paper.width_mm;
    page.height_mm = split.paper.height_mm;
    page.window = part.window;
    map.current = static_cast<int>(i);
    const double left = kPageMarginMm, top = kPageMarginMm;
    const double right = page.width_mm - kPageMarginMm;
    AddHeader(guide, {left, top, right, top + kHeaderMm}, page.label, &map, page.marks);
    if (!joined) {
      double y = top + kHeaderMm + 2.2;
      for (const std::string& line : Wrap(PlacedBy(guide, part), right - left, 2.5, true)) {
        page.marks.push_back(Words(line, {left, y + 1}, 2.5, Anchor::kStart, true));
        y += 4.1;
      }
    }
    AddCautions(guide, {left, top + (joined ? kHeaderMm : kPlacedHeaderMm) + 1}, right - left, page.marks);
    const Point area{left + kSideMm, top + header};
    page.sheet_at = area + Point{(room.width_mm - page.window.Width()) / 2 - page.window.left,
                                 (room.height_mm - page.window.Height()) / 2 - page.window.top};
    std::set<std::string> groups{""};
    for (const Site s : part.sites) groups.insert(fmt::format("site-{}-{}", s.row, s.column));
    std::vector<Mark> shown;
    for (const auto* marks : {&guide.marks, &std::as_const(joins[i])}) {
      for (const Mark& m : *marks) {
        if (!joined && groups.count(m.group) == 0) continue;
        for (Mark& clipped : ClipMark(m, page.window)) shown.push_back(Moved(std::move(clipped), page.sheet_at));
      }
    }
    if (joined) AddCutLines(guide, page.window, page.sheet_at, shown);
    AddEdgeNames(guide, page.window, page.sheet_at, shown);
    for (const Locator& l : part.placed_by) ClearOfRing(l.at + page.sheet_at, shown);
    for (std::size_t k = 0; k < part.placed_by.size(); ++k) {
      AddLocator(part.placed_by[k].at + page.sheet_at, k == 0 ? "P" : "Q", shown);
    }
    page.marks.insert(page.marks.end(), shown.begin(), shown.end());
    AddBarY({left + 3, area.y + 4}, page.marks, room.height_mm - 4);
    AddBarX({area.x + 4, page.height_mm - kPageMarginMm - 3}, page.marks, room.width_mm - 4);
    pages.push_back(std::move(page));
  }
  return pages;
}

}  // namespace truepull
