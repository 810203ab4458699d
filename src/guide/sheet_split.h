// SPDX-License-Identifier: Apache-2.0
// How a sheet that is larger than the paper is divided over pages.
#ifndef TRUEPULL_SRC_GUIDE_SHEET_SPLIT_H_
#define TRUEPULL_SRC_GUIDE_SHEET_SPLIT_H_

#include <optional>
#include <string>
#include <vector>

#include "guide/blocks.h"
#include "guide/joins.h"
#include "truepull/guide.h"

namespace truepull {

struct PageSize {
  double width_mm = 0, height_mm = 0;
};

/// What a page leaves for the sheet below a header of a height.
PageSize RoomOn(PageSize paper, double header_mm);

inline constexpr double kPlacedHeaderMm = 31;  // With two lines on how the page is placed.
inline constexpr double kCautionsMm = 11;       // Three lines of cautions on what is to be cut.

/// Height of the header of a split sheet's pages.
double HeaderOf(const Guide& guide, PagesHow how);
/// The cautions in small lines from a place downwards; for pages that are cut.
void AddCautions(const Guide& guide, Point top_left, double width_mm, std::vector<Mark>& out);

/// What one page shows and how it is placed.
struct SplitPage {
  Box window;
  std::string name;                     // "rows A to C, columns 1 to 3", "left top".
  std::vector<Site> sites;              // Of its block; empty: whatever the window shows.
  std::vector<Locator> placed_by;       // Two, or none.
  std::vector<Locator> in_openings;     // Of a mask: impressions that show in its openings; up to two.
  std::string edges;                    // "left and top"; empty when no corner is shown.
};

struct SheetSplit {
  PagesHow how = PagesHow::kJoined;
  PageSize paper;
  std::vector<SplitPage> pages;
  PageGrid grid;                        // Of joined pages.
};

/// Overlapping pages, as few as cover the sheet.
SheetSplit JoinedSplit(const Guide& guide, PageSize paper);

/// Blocks of rows x columns of sites, as few as fit the paper, each placed by two found
/// corners at least 60 mm apart (or by edges of the sheet both ways); nothing when a page
/// would have neither or a site does not fit.
std::optional<SheetSplit> BlockSplit(const Guide& guide, PageSize paper);

/// The split's pages; `first` is the number of its first page, of `total`.
std::vector<GuidePage> DrawSplit(const Guide& guide, const SheetSplit& split, std::size_t first, std::size_t total);

}  // namespace truepull

#endif  // TRUEPULL_SRC_GUIDE_SHEET_SPLIT_H_
