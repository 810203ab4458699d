// SPDX-License-Identifier: Apache-2.0
#include "guide/whole_sheet.h"

#include <algorithm>
#include <cmath>

#include "guide/blocks.h"
#include "guide/furniture.h"
#include "guide/make_marks.h"
#include "guide/sheet_split.h"

namespace truepull {
namespace {

constexpr double kLeastInnerMm = 178;  // Two columns of words, and the bar with its words.

Mark Smaller(Mark mark, double size) {
  if (auto* path = std::get_if<PathMark>(&mark.what)) {
    for (Point& p : path->points) p = size * p;
  } else {
    auto& text = std::get<TextMark>(mark.what);
    text.at = size * text.at;
    text.cap_mm *= size;
  }
  return mark;
}

// Everything on a page `inner` wide between its margins; the height follows. The sheet's
// part of the page is as wide as the page, so marks near the sheet are never cut.
GuidePage Compose(const Guide& guide, double inner_mm, const std::vector<Block>& blocks, double words_size = 1) {
  GuidePage page;
  const double left = kPageMarginMm, top = kPageMarginMm;
  const double right = left + inner_mm;
  page.width_mm = inner_mm + 2 * kPageMarginMm;
  AddHeader(guide, {left, top, right, top + kHeaderMm}, guide.set_label, nullptr, page.marks);

  // A mask without its words is one of several: what is cut has the cautions beside it.
  const bool cautions = guide.use == GuideUse::kMask && blocks.empty();
  if (cautions) AddCautions(guide, {left, top + kHeaderMm}, inner_mm, page.marks);
  const double area_left = left + kSideMm;
  const double area_top = top + kHeaderMm + 2 + (cautions ? kCautionsMm : 0);
  const double spare = right - area_left - guide.width_mm - 2 * kBorderMm;
  page.sheet_at = {area_left + kBorderMm + spare / 2, area_top + kBorderMm};
  page.window = {-kBorderMm, -kBorderMm, guide.width_mm + kBorderMm, guide.height_mm + kBorderMm};
  std::vector<Mark> sheet;
  for (const Mark& m : guide.marks) {
    for (Mark& part : ClipMark(m, page.window)) sheet.push_back(Moved(std::move(part), page.sheet_at));
  }
  AddEdgeNames(guide, page.window, page.sheet_at, sheet);
  page.marks.insert(page.marks.end(), sheet.begin(), sheet.end());

  const double bar_room = std::max(kBarMm + 4, guide.height_mm + 2 * kBorderMm - 4);
  AddBarY({left + 3, area_top + 4}, page.marks, bar_room);
  const double below = area_top + guide.height_mm + 2 * kBorderMm + 2;
  AddBarX({area_left, below + 3}, page.marks, right - area_left);
  double words = 0;
  if (!blocks.empty()) {
    std::vector<Mark> written;
    words = words_size * AddBlocks(blocks, {0, 0}, (right - area_left) / words_size, written);
    for (Mark& m : written) page.marks.push_back(Moved(Smaller(std::move(m), words_size), {area_left, below + kFootMm + 3}));
  }
  // The bar along y and its words may reach lower than a small sheet and its words.
  const double bar_end = area_top + 4 + bar_room;
  page.height_mm = std::max(below + kFootMm + 3 + words, bar_end) + kPageMarginMm;
  return page;
}

double InnerFor(const Guide& guide) {
  return std::max(kLeastInnerMm, kSideMm + guide.width_mm + 2 * kBorderMm);
}

}  // namespace

GuidePage LayOutWholeSheet(const Guide& guide) {
  const double inner = InnerFor(guide);
  const auto plate = PlateBlock(guide, ColumnWidth(inner - kSideMm), 200);
  std::vector<Block> blocks = BlocksFor(guide, {}, PagesHow::kAlone, plate || !guide.crowded);
  blocks.push_back(CardBlock());
  if (plate) blocks.push_back(*plate);
  GuidePage page = Compose(guide, inner, blocks);
  page.height_mm = std::ceil(page.height_mm);
  return page;
}

std::optional<GuidePage> LayOutOnOnePage(const Guide& guide, double width_mm, double height_mm, bool words) {
  const double inner = width_mm - 2 * kPageMarginMm;
  if (inner < InnerFor(guide)) return std::nullopt;
  // The card's frame and the plate where there is room (the bars are there in any case);
  // rather smaller words on one page than two pages.
  constexpr double kSmallWords = 0.84;
  const auto plate = PlateBlock(guide, ColumnWidth(inner - kSideMm), height_mm / 2);
  struct Try {
    bool card, plate;
    double size;
  };
  for (const Try& t : {Try{true, true, 1}, {false, true, 1}, {true, false, 1}, {false, false, 1}, {false, false, kSmallWords}}) {
    if (t.plate && (!plate || !words)) continue;
    std::vector<Block> some;
    if (words) some = BlocksFor(guide, {}, PagesHow::kAlone, t.plate || !guide.crowded);
    if (t.card && words) some.push_back(CardBlock());
    if (t.plate) some.push_back(*plate);
    GuidePage page = Compose(guide, inner, some, t.size);
    if (page.height_mm > height_mm) continue;
    page.height_mm = height_mm;
    page.label = guide.set_label;
    return page;
  }
  return std::nullopt;
}

}  // namespace truepull
