// SPDX-License-Identifier: Apache-2.0
// Pages that need no joining: blocks of sites, each placed by what is on the sheet.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <set>

#include "guide/furniture.h"
#include "guide/sheet_split.h"

namespace truepull {
namespace {

constexpr double kRoundMm = 1;        // Kept free round a block.
constexpr double kLeastApartMm = 60;  // Of two locators: 0.3 mm there turn the page by 0.3 degree.
constexpr double kLocatorRoomMm = 4;  // A ring stands round each.

Box Union(const Box& a, const Box& b) {
  return {std::min(a.left, b.left), std::min(a.top, b.top), std::max(a.right, b.right), std::max(a.bottom, b.bottom)};
}

// The span of the k-th of n even shares of `count`.
std::pair<std::size_t, std::size_t> Share(std::size_t count, std::size_t n, std::size_t k) {
  return {count * k / n, count * (k + 1) / n};
}

struct Blocks {
  std::vector<Box> boxes;
  std::vector<std::vector<Site>> sites;
  std::vector<std::string> names;
};

std::string RowName(int row) {
  std::string label = SiteLabel({row, 0});
  label.pop_back();  // The column's 1.
  return label;
}

std::string SpanName(const char* one, const char* many, const std::string& from, const std::string& to) {
  return from == to ? fmt::format("{} {}", one, from) : fmt::format("{} {} to {}", many, from, to);
}

// Blocks of a division, or nothing when one is larger than the room.
std::optional<Blocks> BlocksOf(const Guide& guide, const std::vector<int>& rows, const std::vector<int>& columns,
                               std::size_t down, std::size_t across, PageSize room) {
  Blocks out;
  for (std::size_t r = 0; r < down; ++r) {
    for (std::size_t c = 0; c < across; ++c) {
      const auto [r0, r1] = Share(rows.size(), down, r);
      const auto [c0, c1] = Share(columns.size(), across, c);
      std::optional<Box> box;
      std::vector<Site> sites;
      for (std::size_t i = 0; i < guide.sites.size(); ++i) {
        const Site s = guide.sites[i];
        if (s.row < rows[r0] || s.row > rows[r1 - 1] || s.column < columns[c0] || s.column > columns[c1 - 1]) continue;
        box = box ? Union(*box, guide.site_boxes[i]) : guide.site_boxes[i];
        sites.push_back(s);
      }
      if (!box) continue;
      const Box grown{box->left - kRoundMm, box->top - kRoundMm, box->right + kRoundMm, box->bottom + kRoundMm};
      if (grown.Width() > room.width_mm || grown.Height() > room.height_mm) return std::nullopt;
      out.boxes.push_back(grown);
      out.sites.push_back(std::move(sites));
      out.names.push_back(SpanName("row", "rows", RowName(rows[r0]), RowName(rows[r1 - 1])) + ", " +
                          SpanName("column", "columns", std::to_string(columns[c0] + 1), std::to_string(columns[c1 - 1] + 1)));
    }
  }
  return out;
}

// Shows an edge of the sheet where the room allows it.
void ReachEdges(const Guide& guide, PageSize room, Box& box) {
  const double right = guide.width_mm + kBorderMm, bottom = guide.height_mm + kBorderMm;
  if (box.left > -kBorderMm && box.right + kBorderMm <= room.width_mm) box.left = -kBorderMm;
  if (box.right < right && right - box.left <= room.width_mm) box.right = right;
  if (box.top > -kBorderMm && box.bottom + kBorderMm <= room.height_mm) box.top = -kBorderMm;
  if (box.bottom < bottom && bottom - box.top <= room.height_mm) box.bottom = bottom;
}

// Whether a ring round a place would run through words or a stop point that a page shows.
bool RingOnWords(const Guide& guide, const std::set<std::string>& groups, Point at) {
  return std::any_of(guide.marks.begin(), guide.marks.end(), [&](const Mark& m) {
    const auto* text = std::get_if<TextMark>(&m.what);
    if ((text == nullptr && m.role != MarkRole::kStop) || m.hidden || groups.count(m.group) == 0) return false;
    const Box b = text != nullptr ? TextBox(*text) : BoundingBox(std::get<PathMark>(m.what).points);
    const double near_x = std::max({0.0, b.left - at.x, at.x - b.right}), near_y = std::max({0.0, b.top - at.y, at.y - b.bottom});
    return std::hypot(near_x, near_y) < kLocatorRoomMm - 0.5;
  });
}

// The two furthest apart, if that is far enough.
std::vector<Locator> FurthestPair(const std::vector<const Locator*>& near) {
  std::vector<Locator> out;
  double most = kLeastApartMm;
  for (std::size_t i = 0; i < near.size(); ++i) {
    for (std::size_t j = i + 1; j < near.size(); ++j) {
      const double apart = Norm(near[i]->at - near[j]->at);
      if (apart > most + 1e-9) most = apart, out = {*near[i], *near[j]};
    }
  }
  return out;
}

// A mask lies right when first impressions show with an even rim in its openings: two far
// apart, or one, for an opening fixes the turn as well.
void PlaceMask(const Guide& guide, SplitPage& page) {
  std::vector<const Locator*> own;
  for (const Locator& l : guide.in_openings) {
    const bool here = std::any_of(page.sites.begin(), page.sites.end(), [&](Site s) { return SiteLabel(s) == l.name; });
    if (here) own.push_back(&l);
  }
  page.in_openings = FurthestPair(own);
  if (page.in_openings.empty() && !own.empty()) page.in_openings = {*own.front()};
}

void Place(const Guide& guide, SplitPage& page) {
  if (guide.use == GuideUse::kMask) PlaceMask(guide, page);
  // Only the page's own sites are drawn on it.
  std::set<std::string> groups{""};
  for (const Site s : page.sites) groups.insert(fmt::format("site-{}-{}", s.row, s.column));
  std::vector<const Locator*> near, clear;
  for (const Locator& l : guide.locators) {
    const Box& w = page.window;
    if (l.at.x > w.left + kLocatorRoomMm && l.at.x < w.right - kLocatorRoomMm && l.at.y > w.top + kLocatorRoomMm &&
        l.at.y < w.bottom - kLocatorRoomMm) {
      near.push_back(&l);
      if (!RingOnWords(guide, groups, l.at)) clear.push_back(&l);
    }
  }
  if (page.in_openings.empty()) page.placed_by = FurthestPair(clear);
  if (page.in_openings.empty() && page.placed_by.empty()) page.placed_by = FurthestPair(near);
  const bool left = page.window.left < 0, right = page.window.right > guide.width_mm;
  const bool top = page.window.top < 0, bottom = page.window.bottom > guide.height_mm;
  if ((left || right) && (top || bottom)) {
    // Seen on the guide; a mirrored one exchanges left and right.
    const char* side = (left != guide.mirrored) ? "left" : "right";
    page.edges = fmt::format("{} and {}", side, top ? "top" : "bottom");
    if (left && right) page.edges = fmt::format("left, right and {}", top ? "top" : "bottom");
  }
}

}  // namespace

std::optional<SheetSplit> BlockSplit(const Guide& guide, PageSize paper) {
  std::set<int> row_set, column_set;
  for (const Site s : guide.sites) row_set.insert(s.row), column_set.insert(s.column);
  const std::vector<int> rows(row_set.begin(), row_set.end()), columns(column_set.begin(), column_set.end());
  if (rows.empty()) return std::nullopt;
  const PageSize room = RoomOn(paper, HeaderOf(guide, PagesHow::kByFeatures));
  std::vector<std::pair<std::size_t, std::size_t>> divisions;
  for (std::size_t r = 1; r <= rows.size(); ++r) {
    for (std::size_t c = 1; c <= columns.size(); ++c) divisions.emplace_back(r, c);
  }
  // Fewest pages first; of as many, the squarest.
  std::stable_sort(divisions.begin(), divisions.end(), [](const auto& a, const auto& b) {
    if (a.first * a.second != b.first * b.second) return a.first * a.second < b.first * b.second;
    return a.first + a.second < b.first + b.second;
  });
  for (const auto& [down, across] : divisions) {
    const auto blocks = BlocksOf(guide, rows, columns, down, across, room);
    if (!blocks) continue;
    SheetSplit out;
    out.how = PagesHow::kByFeatures;
    out.paper = paper;
    for (std::size_t i = 0; i < blocks->boxes.size(); ++i) {
      SplitPage page{blocks->boxes[i], blocks->names[i], blocks->sites[i], {}, {}, ""};
      ReachEdges(guide, room, page.window);
      Place(guide, page);
      const bool laid = UseLookOf(guide.use).laid_on_sheet;
      if (laid && page.placed_by.empty() && page.in_openings.empty() && page.edges.empty()) return std::nullopt;
      out.pages.push_back(std::move(page));
    }
    return out;
  }
  return std::nullopt;
}

}  // namespace truepull
