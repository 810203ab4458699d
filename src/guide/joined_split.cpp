// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "guide/furniture.h"
#include "guide/sheet_split.h"

namespace truepull {
namespace {

int PagesFor(double length_mm, double room_mm) {
  // n pages show n room - (n - 1) overlap.
  return std::max(1, static_cast<int>(std::ceil((length_mm - kJoinOverlapMm) /
                                                (room_mm - kJoinOverlapMm) - 1e-9)));
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

}  // namespace

PageSize RoomOn(PageSize paper, double header_mm) {
  return {paper.width_mm - 2 * kPageMarginMm - kSideMm,
          paper.height_mm - 2 * kPageMarginMm - header_mm - kFootMm};
}

SheetSplit JoinedSplit(const Guide& guide, PageSize paper) {
  SheetSplit out;
  out.how = PagesHow::kJoined;
  out.paper = paper;
  const PageSize room = RoomOn(paper, HeaderOf(guide, PagesHow::kJoined));
  const double width = guide.width_mm + 2 * kBorderMm, height = guide.height_mm + 2 * kBorderMm;
  PageGrid& grid = out.grid;
  grid.columns = PagesFor(width, room.width_mm);
  grid.rows = PagesFor(height, room.height_mm);
  const double w = (width + (grid.columns - 1) * kJoinOverlapMm) / grid.columns;
  const double h = (height + (grid.rows - 1) * kJoinOverlapMm) / grid.rows;
  for (int r = 0; r < grid.rows; ++r) {
    for (int c = 0; c < grid.columns; ++c) {
      const double left = -kBorderMm + c * (w - kJoinOverlapMm);
      const double top = -kBorderMm + r * (h - kJoinOverlapMm);
      grid.windows.push_back({left, top, left + w, top + h});
      out.pages.push_back({grid.windows.back(), PageName(grid, r, c), {}, {}, {}, ""});
    }
  }
  return out;
}

}  // namespace truepull
