// SPDX-License-Identifier: Apache-2.0
// Pages that hold the sheet itself in register: a board with its notches, stops and pins,
// a frame of markers round one sheet, and cards of markers to lay beside it.
#ifndef TRUEPULL_REGISTER_PAGES_H_
#define TRUEPULL_REGISTER_PAGES_H_

#include <functional>
#include <string>
#include <vector>

#include "truepull/guide.h"
#include "truepull/marker_cards.h"

namespace truepull {

/// Gives a marker's cells (MarkerPattern): this module knows no picture library.
using PatternOf = std::function<std::vector<bool>(int)>;

/// Round a sheet of a size: crosses and T-and-bar at two opposite edges, four corner stops,
/// the kento's two notches, two pin holes with tabs; each with its place from the sheet's
/// top left corner in mm. A guide like any other, to be laid out on pages; its frame's
/// origin lies kBoardBorderMm outside the sheet's on both axes.
Guide BuildBoard(double sheet_width_mm, double sheet_height_mm, const GuideWords& words);
inline constexpr double kBoardBorderMm = 32;

/// The frame of markers round a sheet (SheetFrame); origin kFrameBorderMm outside.
/// Fails with kBadArgument for a sheet that would need more markers than there are.
Result<Guide> BuildSheetFrame(double sheet_width_mm, double sheet_height_mm, const std::string& title,
                              const PatternOf& pattern);
inline constexpr double kFrameBorderMm = 36;

/// The marker cards, four to a page, with how to lay them.
std::vector<GuidePage> LayOutFrameCards(const PageOptions& options, const PatternOf& pattern);

/// One marker as marks: a black square and its white cells.
std::vector<Mark> MarkerMarks(const PlacedMarker& marker, const PatternOf& pattern);

}  // namespace truepull

#endif  // TRUEPULL_REGISTER_PAGES_H_
