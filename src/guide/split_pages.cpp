// SPDX-License-Identifier: Apache-2.0
// A sheet larger than the paper: a page of words, then as many as the sheet needs.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

#include "guide/blocks.h"
#include "guide/furniture.h"
#include "guide/joins.h"
#include "guide/make_marks.h"
#include "guide/whole_sheet.h"
#include "truepull/paper_size.h"

namespace truepull {
namespace {

struct PageSize {
  double width_mm, height_mm;
};

PageSize UprightSizeOf(Paper paper) {
  const PaperSize size = FindPaperSize(NameOf(paper)).value();
  return {size.short_mm, size.long_mm};
}

// What a page leaves for the sheet.
PageSize RoomOn(PageSize paper) {
  return {paper.width_mm - 2 * kPageMarginMm - kSideMm,
          paper.height_mm - 2 * kPageMarginMm - kHeaderMm - kFootMm};
}

int PagesFor(double length_mm, double room_mm) {
  // n pages show n room - (n - 1) overlap.
  return std::max(1, static_cast<int>(std::ceil((length_mm - kJoinOverlapMm) /
                                                (room_mm - kJoinOverlapMm) - 1e-9)));
}

PageGrid GridFor(const Guide& guide, PageSize paper) {
  const PageSize room = RoomOn(paper);
  const double width = guide.width_mm + 2 * kBorderMm, height = guide.height_mm + 2 * kBorderMm;
  PageGrid grid;
  grid.columns = PagesFor(width, room.width_mm);
  grid.rows = PagesFor(height, room.height_mm);
  const double w = (width + (grid.columns - 1) * kJoinOverlapMm) / grid.columns;
  const double h = (height + (grid.rows - 1) * kJoinOverlapMm) / grid.rows;
  for (int r = 0; r < grid.rows; ++r) {
    for (int c = 0; c < grid.columns; ++c) {
      const double left = -kBorderMm + c * (w - kJoinOverlapMm);
      const double top = -kBorderMm + r * (h - kJoinOverlapMm);
      grid.windows.push_back({left, top, left + w, top + h});
    }
  }
  return grid;
}

// "left", "middle" or "right" of three, "column 2" of more; nothing when alone.
std::string PartName(int index, int count, std::array<const char*, 3> names, const char* word) {
  if (count == 1) return "";
  if (index == 0) return names[0];
  if (index == count - 1) return names[2];
  return count == 3 ? names[1] : fmt::format("{} {}", word, index + 1);
}

std::string PageName(const PageGrid& grid, int row, int column) {
  const std::string across = PartName(column, grid.columns, {"left", "middle", "right"}, "column");
  const std::string down = PartName(row, grid.rows, {"top", "middle", "bottom"}, "row");
  return across + (across.empty() || down.empty() ? "" : " ") + down;
}

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

GuidePage WordsPage(const Guide& guide, PageSize paper, const PageMap& map, std::string label) {
  GuidePage page;
  page.label = std::move(label);
  page.width_mm = paper.width_mm;
  page.height_mm = paper.height_mm;
  const double left = kPageMarginMm, right = paper.width_mm - kPageMarginMm, top = kPageMarginMm;
  AddHeader(guide, {left, top, right, top + kHeaderMm}, page.label, nullptr, page.marks);
  const double area_left = left + kSideMm, area_top = top + kHeaderMm + 2;
  AddBarX({area_left, area_top + 4}, page.marks);
  AddBarY({left + 3, area_top + 12}, page.marks);
  AddBlocks(BlocksFor(guide, &map), {area_left + 3, area_top + 14}, right - area_left - 3, page.marks);
  return page;
}

}  // namespace

std::vector<GuidePage> LayOutPages(const Guide& guide, Paper paper) {
  if (paper == Paper::kSheet) return {LayOutWholeSheet(guide)};
  PageSize upright = UprightSizeOf(paper);
  PageSize lying{upright.height_mm, upright.width_mm};
  // The way the sheet lies is tried first and wins a tie.
  std::array<PageSize, 2> ways{upright, lying};
  if (guide.width_mm > guide.height_mm) std::swap(ways[0], ways[1]);
  for (const PageSize way : ways) {
    if (auto page = LayOutOnOnePage(guide, way.width_mm, way.height_mm)) return {*page};
  }
  const std::array<PageGrid, 2> grids{GridFor(guide, ways[0]), GridFor(guide, ways[1])};
  const std::size_t best = grids[1].windows.size() < grids[0].windows.size() ? 1 : 0;
  const PageSize size = ways[best];
  const PageGrid& grid = grids[best];
  const std::size_t total = grid.windows.size() + 1;

  PageMap map{guide.width_mm, guide.height_mm, grid.windows, -1};
  std::vector<GuidePage> pages{
      WordsPage(guide, size, map, fmt::format("page 1 of {}: read this first", total))};
  const std::vector<std::vector<Mark>> joins = JoinMarks(guide, grid);
  const PageSize room = RoomOn(size);
  for (std::size_t i = 0; i < grid.windows.size(); ++i) {
    GuidePage page;
    const std::string name = PageName(grid, static_cast<int>(i) / grid.columns,
                                      static_cast<int>(i) % grid.columns);
    page.label = fmt::format("page {} of {}{}{}", i + 2, total, name.empty() ? "" : ": ", name);
    page.width_mm = size.width_mm;
    page.height_mm = size.height_mm;
    page.window = grid.windows[i];
    map.current = static_cast<int>(i);
    const double left = kPageMarginMm, top = kPageMarginMm;
    const double right = size.width_mm - kPageMarginMm;
    AddHeader(guide, {left, top, right, top + kHeaderMm}, page.label, &map, page.marks);
    const Point area{left + kSideMm, top + kHeaderMm};
    page.sheet_at = area + Point{(room.width_mm - page.window.Width()) / 2 - page.window.left,
                                 (room.height_mm - page.window.Height()) / 2 - page.window.top};
    std::vector<Mark> shown;
    for (const auto* marks : {&guide.marks, &joins[i]}) {
      for (const Mark& m : *marks) {
        for (Mark& part : ClipMark(m, page.window)) shown.push_back(Moved(std::move(part), page.sheet_at));
      }
    }
    AddCutLines(guide, page.window, page.sheet_at, shown);
    AddEdgeNames(guide, page.window, page.sheet_at, shown);
    page.marks.insert(page.marks.end(), shown.begin(), shown.end());
    AddBarY({left + 3, area.y + 4}, page.marks);
    AddBarX({area.x + 4, size.height_mm - kPageMarginMm - 3}, page.marks);
    pages.push_back(std::move(page));
  }
  return pages;
}

}  // namespace truepull
