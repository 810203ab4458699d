// SPDX-License-Identifier: Apache-2.0
// A tile made from a base shape whose edges are drawn: the partner edge is made, never
// drawn twice.
#ifndef TRUEPULL_BASE_SHAPE_H_
#define TRUEPULL_BASE_SHAPE_H_

#include <string>
#include <vector>

#include "truepull/lattice.h"
#include "truepull/result.h"
#include "truepull/tiling.h"

namespace truepull {

/// What one side of the base shape does. Sides are counted from 0 here: side i runs from
/// corner i to corner i + 1; messages count from 1.
struct DrawnSide {
  int side = 0;
  EdgeMove move = EdgeMove::kShift;
  int partner = -1;       // Side it is moved to; not used by kHalfTurn.
  /// The drawn line: points by (mm along the side from its first corner, mm to the outside
  /// of the base shape). Its ends are the side's corners (for kHalfTurn the first corner
  /// and the middle) and are not given.
  std::vector<Point> line;
  bool smooth = false;    // A smooth line through the points (Catmull-Rom), else straight.
};

struct BaseShape {
  Outline corners;                // Convex or not, as it looks on the paper, mm.
  std::vector<DrawnSide> sides;   // Each side once, as drawn or as the partner of one.
};

/// A tile with the way it repeats.
struct BuiltTile {
  Outline outline;
  LatticeSteps steps;              // Reduced and oriented.
  std::vector<CellMember> cell;    // Tiles that repeat together, first the tile itself.
  bool needs_mirrored_plate = false;  // A glide: some tiles are its mirror image.
};

/// Builds the tile and proves that it repeats.
///
/// Each side's move is the isometry that carries the tile onto its neighbour across that
/// side: a shift, a half turn about the side's middle, a turn about the corner that two
/// neighbouring sides share, or a glide (mirrored and slid). The neighbours of neighbours
/// follow by composing moves; the shifts among them give the lattice, the rest the cell. The
/// moves fit together when k tiles of the cell have the area of the lattice cell and cover
/// it once, which is checked at some hundred places.
///
/// Fails with kInvalidFile: a side without a move or with two; partners of unequal length; a
/// shift to a side that is not parallel; a turn to a side that shares no corner or at an
/// angle other than 60, 90 or 120 degrees; moves that do not fit together (the inner angles
/// are named); lines that cross.
Result<BuiltTile> BuildTile(const BaseShape& base);

/// A regular polygon with one corner at the top left of its box. Fails for any but 3, 4
/// and 6 sides: says the inner angle, why it cannot fill 360 degrees, and a way out.
Result<Outline> RegularPolygon(int sides, double side_mm);

/// Octagons and squares of one side length, side x (1 + sqrt 2) apart: two plates that
/// repeat together. The octagon first, each about its middle; the square's place is `at`.
struct OctagonPair {
  Outline octagon, square;
  Point square_at;
  LatticeSteps steps;
};
OctagonPair OctagonWithSquare(double side_mm);

}  // namespace truepull

#endif  // TRUEPULL_BASE_SHAPE_H_
