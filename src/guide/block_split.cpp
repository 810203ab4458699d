// SPDX-License-Identifier: Apache-2.0
// Pages that need no joining: blocks of sites, each placed by what is on the sheet.
#include <fmt/format.h>

#include <algorithm>
#include <limits>
#include <set>

#include "guide/furniture.h"
#include "guide/sheet_split.h"

namespace truepull {
namespace {

constexpr double kRoundMm = 3;        // Kept free round a block.
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

void Place(const Guide& guide, SplitPage& page) {
  std::vector<const Locator*> near;
  for (const Locator& l : guide.locators) {
    const Box& w = page.window;
    if (l.at.x > w.left + kLocatorRoomMm && l.at.x < w.right - kLocatorRoomMm && l.at.y > w.top + kLocatorRoomMm &&
        l.at.y < w.bottom - kLocatorRoomMm) {
      near.push_back(&l);
    }
  }
  double most = kLeastApartMm;
  for (std::size_t i = 0; i < near.size(); ++i) {
    for (std::size_t j = i + 1; j < near.size(); ++j) {
      const double apart = Norm(near[i]->at - near[j]->at);
      if (apart > most + 1e-9) most = apart, page.placed_by = {*near[i], *near[j]};
    }
  }
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
  const PageSize room = RoomOn(paper, kPlacedHeaderMm);
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
      SplitPage page{blocks->boxes[i], blocks->names[i], blocks->sites[i], {}, ""};
      ReachEdges(guide, room, page.window);
      Place(guide, page);
      if (page.placed_by.empty() && page.edges.empty()) return std::nullopt;
      out.pages.push_back(std::move(page));
    }
    return out;
  }
  return std::nullopt;
}

}  // namespace truepull
