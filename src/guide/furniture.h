// SPDX-License-Identifier: Apache-2.0
// What stands on a page besides the sheet: the letter, the check bars, the header.
#ifndef TRUEPULL_SRC_GUIDE_FURNITURE_H_
#define TRUEPULL_SRC_GUIDE_FURNITURE_H_

#include <string>
#include <vector>

#include "truepull/guide.h"

namespace truepull {

inline constexpr double kBorderMm = 8;      // Of the sheet, for brackets and edge names.
inline constexpr double kHeaderMm = 22;
inline constexpr double kFootMm = 8;        // Holds the bar along x.
inline constexpr double kSideMm = 9;        // Holds the bar along y.
inline constexpr double kBarMm = 100;
inline constexpr double kLongestBarMm = 200; // A ruler's; 0.5 mm on it is 0.25 %.

/// The windows of a sheet split over pages, and which of them this page shows.
struct PageMap {
  double width_mm = 0, height_mm = 0;       // The sheet.
  std::vector<Box> windows;
  int current = -1;                         // -1: none.
  int first_number = 2;                     // Of the first window's page.
};

/// Takes overlaps out of a map's windows, half from either: its numbers stand clear of lines.
void SeparateWindows(PageMap& map);

/// A capital R drawn as strokes: reads properly only from the right side.
void AddLetter(const Box& box, std::vector<Mark>& out);

/// 100 mm from the middle of one end stroke to the middle of the other, with shorter
/// strokes at every 10 mm and its length in words beside it; carried on to as many tens as
/// the room allows, 200 mm at most.
void AddBarX(Point from, std::vector<Mark>& out, double room_mm = 0);
void AddBarY(Point from, std::vector<Mark>& out, double room_mm = 0);

/// A small picture of the sheet and its pages.
void AddMap(const Box& box, const PageMap& map, std::vector<Mark>& out);

/// Letter, face, title, pass, page; with the map of pages at the right when there is one.
void AddHeader(const Guide& guide, const Box& strip, const std::string& page_label,
               const PageMap* map, std::vector<Mark>& out);

/// Names the sheet's edges in its border where a page shows them, clear of other marks.
/// `offset` carries the guide's frame to the page.
void AddEdgeNames(const Guide& guide, const Box& window, Point offset, std::vector<Mark>& out);

}  // namespace truepull

#endif  // TRUEPULL_SRC_GUIDE_FURNITURE_H_
