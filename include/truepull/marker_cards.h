// SPDX-License-Identifier: Apache-2.0
// Printed markers that a photo can be measured by: cards to lay round a sheet, the frame
// for one sheet, the sheet's number and pass, and the small crosses in a sheet's margin.
//
// This file is what printing and reading agree on. Markers are OpenCV's (module aruco) of
// one dictionary; every use has its own numbers, so that a photo may hold all of them.
// Corners are in OpenCV's order: top left, top right, bottom right, bottom left of the
// marker as it is printed upright; seen on the face, y down, they run clockwise. A
// marker's place and side are those of its black square, the outer edge of its border.
#ifndef TRUEPULL_MARKER_CARDS_H_
#define TRUEPULL_MARKER_CARDS_H_

#include <array>
#include <cstdint>
#include <string>
#include <vector>

#include "truepull/geometry.h"

namespace truepull {

/// cv::aruco::DICT_5X5_1000: 25 bits, so that hand-pulled patterns are not taken for one.
inline constexpr const char* kMarkerDictionary = "DICT_5X5_1000";
/// Cells along a side: five of the code and the black border, one cell wide. Printing
/// leaves a white rim of one cell at least.
inline constexpr int kMarkerCells = 7;

/// One marker on a card or round a sheet; its sides are parallel to the frame's axes.
struct PlacedMarker {
  int id = 0;
  Point top_left;       // mm.
  double side_mm = 0;
};
/// Its corners in OpenCV's order, mm.
std::array<Point, 4> MarkerCorners(const PlacedMarker& marker);

// --- Cards to lay round a sheet whose edges cannot be trusted -----------------------
// A card is a strip with four markers in a row: 180 mm from its first corner to its last
// are known as well as the printer is true, wherever and however turned the card lies.
// Card k has the markers 4 k ... 4 k + 3, from left to right.

inline constexpr int kFrameCards = 8;
inline constexpr int kMarkersOnACard = 4;
inline constexpr int kFrameCardFirstId = 0;         // ... 31.
inline constexpr double kFrameCardMarkerMm = 30;
inline constexpr double kFrameCardPitchMm = 50;     // From one marker to the next.
inline constexpr double kFrameCardWidthMm = 190, kFrameCardHeightMm = 40;

/// The markers of a card (0 ... kFrameCards - 1) in the card's own frame: origin at its
/// top left corner, x along it.
std::vector<PlacedMarker> FrameCard(int card);

// --- The frame for one sheet ----------------------------------------------------------
// Markers round the sheet's outline, at places known in the sheet's frame: the sheet lies
// in the printed outline. They run from the top left corner to the right and round.

inline constexpr int kSheetFrameFirstId = 100;      // ... 199.
inline constexpr double kSheetFrameMarkerMm = 25;
inline constexpr double kSheetFrameOffMm = 6;       // From the sheet's edge to a marker.

/// The markers round a sheet of a size, in the sheet's frame (some coordinates negative):
/// one at each corner, others between them at even steps of at most 110 mm. At most 100,
/// which is enough for a sheet of 2.7 x 2.7 m.
std::vector<PlacedMarker> MarkersRoundSheet(double sheet_width_mm, double sheet_height_mm);

// --- Sheet cards: which sheet is this, and which pass ---------------------------------
// A sheet card has two markers beside each other, the sheet's number and the pass.

inline constexpr int kSheetNumberFirstId = 200;     // Sheet 1 ... 600 are 200 ... 799.
inline constexpr int kSheetNumbers = 600;
inline constexpr int kPassFirstId = 800;            // Pass 1 (the first) ... 20: 800 ... 819.
inline constexpr int kPassNumbers = 20;
inline constexpr double kSheetCardMarkerMm = 35;

// --- Marks in the sheet's margin --------------------------------------------------------
/// Where `next --marks` puts its crosses, sheet mm: 6 mm from two edges at every corner,
/// top left first and clockwise. A cross has arms of 3 mm each way, 0.3 mm wide; the one
/// at the top left has a ring of 1.5 mm radius besides, which tells the corners apart.
inline constexpr double kMarginMarkInMm = 6, kMarginMarkArmMm = 3, kMarginMarkRingMm = 1.5;
std::array<Point, 4> MarginMarks(double sheet_width_mm, double sheet_height_mm);

/// The cells of a marker row by row, kMarkerCells in each: true is black. The pattern is
/// OpenCV's own (this one function stands on it). Empty for an id the dictionary lacks.
std::vector<bool> MarkerPattern(int id);

}  // namespace truepull

#endif  // TRUEPULL_MARKER_CARDS_H_
