// SPDX-License-Identifier: Apache-2.0
#include "guide/whole_sheet.h"

#include <algorithm>
#include <cmath>

#include "guide/blocks.h"
#include "guide/furniture.h"
#include "guide/make_marks.h"

namespace truepull {
namespace {

constexpr double kLeastInnerMm = 178;  // Two columns of words, and the bar with its words.

// Everything on a page `inner` wide between its margins; the height follows. The sheet's
// part of the page is as wide as the page, so marks near the sheet are never cut.
GuidePage Compose(const Guide& guide, double inner_mm) {
  GuidePage page;
  const double left = kPageMarginMm, top = kPageMarginMm;
  const double right = left + inner_mm;
  page.width_mm = inner_mm + 2 * kPageMarginMm;
  AddHeader(guide, {left, top, right, top + kHeaderMm}, "", nullptr, page.marks);

  const double area_left = left + kSideMm;
  const double area_top = top + kHeaderMm + 2;
  const double spare = right - area_left - guide.width_mm - 2 * kBorderMm;
  page.sheet_at = {area_left + kBorderMm + spare / 2, area_top + kBorderMm};
  page.window = {-kBorderMm, -kBorderMm, guide.width_mm + kBorderMm, guide.height_mm + kBorderMm};
  std::vector<Mark> sheet;
  for (const Mark& m : guide.marks) {
    for (Mark& part : ClipMark(m, page.window)) sheet.push_back(Moved(std::move(part), page.sheet_at));
  }
  AddEdgeNames(guide, page.window, page.sheet_at, sheet);
  page.marks.insert(page.marks.end(), sheet.begin(), sheet.end());

  AddBarY({left + 3, area_top + 4}, page.marks);
  const double below = area_top + guide.height_mm + 2 * kBorderMm + 2;
  AddBarX({area_left, below + 3}, page.marks);
  const double words = AddBlocks(BlocksFor(guide, nullptr), {area_left, below + kFootMm + 3},
                                 right - area_left, page.marks);
  // The bar along y and its words may reach lower than a small sheet and its words.
  const double bar_end = area_top + 4 + kBarMm + 34;
  page.height_mm = std::max(below + kFootMm + 3 + words, bar_end) + kPageMarginMm;
  return page;
}

double InnerFor(const Guide& guide) {
  return std::max(kLeastInnerMm, kSideMm + guide.width_mm + 2 * kBorderMm);
}

}  // namespace

GuidePage LayOutWholeSheet(const Guide& guide) {
  GuidePage page = Compose(guide, InnerFor(guide));
  page.height_mm = std::ceil(page.height_mm);
  return page;
}

std::optional<GuidePage> LayOutOnOnePage(const Guide& guide, double width_mm, double height_mm) {
  const double inner = width_mm - 2 * kPageMarginMm;
  if (inner < InnerFor(guide)) return std::nullopt;
  GuidePage page = Compose(guide, inner);
  if (page.height_mm > height_mm) return std::nullopt;
  page.height_mm = height_mm;
  return page;
}

}  // namespace truepull
