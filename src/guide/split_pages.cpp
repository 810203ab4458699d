// SPDX-License-Identifier: Apache-2.0
// From a guide to pages of paper: one where all fits, else words first and then as many
// as the sheet needs.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <utility>

#include "guide/blocks.h"
#include "guide/furniture.h"
#include "guide/make_marks.h"
#include "guide/sheet_split.h"
#include "guide/whole_sheet.h"
#include "truepull/paper_size.h"

namespace truepull {
namespace {

// Both ways the paper may lie; the way the sheet lies is tried first and wins a tie.
std::array<PageSize, 2> WaysOf(const PageOptions& options, const Guide& guide) {
  const PaperSize size = FindPaperSize(NameOf(options.paper)).value();
  // A printer that is off by a factor gets a page laid out on so much smaller a paper.
  std::array<PageSize, 2> ways{PageSize{size.short_mm / options.scale_x, size.long_mm / options.scale_y},
                               PageSize{size.long_mm / options.scale_x, size.short_mm / options.scale_y}};
  if (guide.width_mm > guide.height_mm) std::swap(ways[0], ways[1]);
  return ways;
}

SheetSplit BestSplit(const Guide& guide, const std::array<PageSize, 2>& ways, PageSplit wanted) {
  if (wanted == PageSplit::kFeatures) {
    std::optional<SheetSplit> best;
    for (const PageSize way : ways) {
      auto split = BlockSplit(guide, way);
      if (split && (!best || split->pages.size() < best->pages.size())) best = std::move(split);
    }
    if (best) return *best;
  }
  SheetSplit one = JoinedSplit(guide, ways[0]), other = JoinedSplit(guide, ways[1]);
  return other.pages.size() < one.pages.size() ? other : one;
}

// Where the words of a page begin, and what is left for them.
constexpr double kWordsTopMm = kHeaderMm + 16;

struct WordsRoom {
  double width_mm, height_mm;
};
WordsRoom RoomForWords(PageSize paper) {
  return {paper.width_mm - 2 * kPageMarginMm - kSideMm - 3, paper.height_mm - 2 * kPageMarginMm - kWordsTopMm};
}

GuidePage WordsPage(const Guide& guide, PageSize paper, const std::vector<Block>& blocks, const std::string& label) {
  GuidePage page;
  page.label = label;
  page.width_mm = paper.width_mm;
  page.height_mm = paper.height_mm;
  const double left = kPageMarginMm, right = paper.width_mm - kPageMarginMm, top = kPageMarginMm;
  AddHeader(guide, {left, top, right, top + kHeaderMm}, page.label, nullptr, page.marks);
  const double area_left = left + kSideMm, area_top = top + kHeaderMm + 2;
  AddBarX({area_left, area_top + 4}, page.marks, right - area_left);
  AddBarY({left + 3, area_top + 12}, page.marks, paper.height_mm - kPageMarginMm - area_top - 12);
  AddBlocks(blocks, {area_left + 3, top + kWordsTopMm}, RoomForWords(paper).width_mm, page.marks);
  return page;
}

// "Mask 2", "Part 2".
std::string PartName(const Guide& guide, std::size_t k) { return fmt::format("{} {}", guide.use == GuideUse::kMask ? "Mask" : "Part", k + 1); }

// Marks stay in true millimetres; the page is the paper's own size.
void Correct(const PageOptions& options, std::vector<GuidePage>& pages) {
  for (GuidePage& page : pages) {
    page.width_mm *= options.scale_x;
    page.height_mm *= options.scale_y;
    page.scale_x = options.scale_x;
    page.scale_y = options.scale_y;
  }
}

}  // namespace

std::vector<GuidePage> LayOutPages(const std::vector<Guide>& parts, const PageOptions& options) {
  std::vector<GuidePage> pages;
  if (options.paper == Paper::kSheet) {
    for (const Guide& part : parts) pages.push_back(LayOutWholeSheet(part));
    Correct(options, pages);
    return pages;
  }
  const Guide& guide = parts.front();
  const auto ways = WaysOf(options, guide);
  if (parts.size() == 1) {
    for (const PageSize way : ways) {
      if (auto page = LayOutOnOnePage(guide, way.width_mm, way.height_mm, true)) {
        pages = {*page};
        Correct(options, pages);
        return pages;
      }
    }
  }
  // Several pages: the words first, once.
  std::vector<std::vector<GuidePage>> whole(parts.size());
  std::vector<SheetSplit> splits(parts.size());
  std::size_t sheets = 0;
  for (std::size_t k = 0; k < parts.size(); ++k) {
    for (const PageSize way : ways) {
      if (parts.size() == 1 || !whole[k].empty()) break;
      if (auto page = LayOutOnOnePage(parts[k], way.width_mm, way.height_mm, false)) whole[k] = {*page};
    }
    if (whole[k].empty()) splits[k] = BestSplit(parts[k], ways, options.split);
    sheets += whole[k].empty() ? splits[k].pages.size() : 1;
  }
  const bool is_split = whole[0].empty();
  const PageSize paper = is_split ? splits[0].paper : PageSize{whole[0][0].width_mm, whole[0][0].height_mm};
  const WordsRoom room = RoomForWords(paper);
  // Maps of all parts that are split; their pages' numbers are known once the words are set.
  std::vector<PartMap> maps;
  std::vector<std::size_t> map_of;
  for (std::size_t k = 0; k < parts.size(); ++k) {
    if (!whole[k].empty()) continue;
    PageMap map{guide.width_mm, guide.height_mm, {}, -1, 2};
    for (const SplitPage& p : splits[k].pages) map.windows.push_back(p.window);
    SeparateWindows(map);
    maps.push_back({std::move(map), parts.size() > 1 ? PartName(guide, k) : ""});
    map_of.push_back(k);
  }
  const auto plate = PlateBlock(guide, ColumnWidth(room.width_mm), room.height_mm - 20);
  std::vector<Block> blocks = BlocksFor(guide, maps, is_split ? splits[0].how : PagesHow::kAlone, plate || !guide.crowded);
  blocks.insert(blocks.begin() + 1, CardBlock());
  if (plate) blocks.insert(blocks.begin() + 2, *plate);
  const auto words = BlocksOnPages(blocks, room.width_mm, room.height_mm);
  const std::size_t total = words.size() + sheets;
  std::size_t number = words.size() + 1;
  for (std::size_t k = 0, m = 0; k < parts.size(); ++k) {
    if (m < maps.size() && map_of[m] == k) maps[m++].map.first_number = static_cast<int>(number);
    number += whole[k].empty() ? splits[k].pages.size() : 1;
  }
  for (std::size_t i = 0; i < words.size(); ++i) {
    pages.push_back(WordsPage(guide, paper, words[i],
                              fmt::format("page {} of {}: {}", i + 1, total, i == 0 ? "read this first" : "how to use it")));
  }
  for (std::size_t k = 0; k < parts.size(); ++k) {
    const std::size_t first = pages.size() + 1;
    if (!whole[k].empty()) {
      pages.push_back(whole[k][0]);
      continue;
    }
    for (GuidePage& page : DrawSplit(parts[k], splits[k], first, total)) pages.push_back(std::move(page));
  }
  Correct(options, pages);
  return pages;
}

std::vector<GuidePage> LayOutPages(const Guide& guide, const PageOptions& options) {
  return LayOutPages(std::vector<Guide>{guide}, options);
}

}  // namespace truepull
