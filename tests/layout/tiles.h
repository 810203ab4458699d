// SPDX-License-Identifier: Apache-2.0
// Tiles to lay out, and what must be true of any layout.
#ifndef TRUEPULL_TESTS_LAYOUT_TILES_H_
#define TRUEPULL_TESTS_LAYOUT_TILES_H_

#include <gtest/gtest.h>

#include "truepull/base_shape.h"
#include "truepull/layout.h"
#include "truepull/units.h"

namespace truepull::testing {

inline LayoutRequest OnSheet(const Outline& outline, LatticeSteps steps, double width, double height, double margin = 15) {
  LayoutRequest r;
  Plate plate;
  plate.outline = outline;
  r.plates = {plate};
  r.steps = steps;
  r.sheet.width_mm = width;
  r.sheet.height_mm = height;
  r.margin_mm = margin;
  return r;
}

/// The trade's usual example: 60 x 45 mm on A3.
inline LayoutRequest Gulls(RepeatKind repeat = RepeatKind::kOwn) {
  LayoutRequest r = OnSheet({{0, 0}, {60, 0}, {60, 45}, {0, 45}}, {{60, 0}, {0, 45}}, 420, 297);
  r.repeat = repeat;
  return r;
}

inline LayoutRequest Of(const BuiltTile& tile, double width, double height, double margin = 15) {
  LayoutRequest r = OnSheet(tile.outline, tile.steps, width, height, margin);
  r.cell = tile.cell;
  return r;
}

/// No part of any tile in the margin; what the layout says of itself is true.
inline void ExpectOnTheSheet(const LayoutRequest& r, const SheetLayout& l) {
  const Plan plan = PlanOf(r, l, "");
  Box all{1e9, 1e9, -1e9, -1e9};
  int tiles = 0;
  for (const Site site : AllSites(plan.lattice)) {
    const Box b = BoundingBox(Apply(IdealPose(plan.lattice, site), OutlineAt(plan, site)));
    all = {std::min(all.left, b.left), std::min(all.top, b.top), std::max(all.right, b.right), std::max(all.bottom, b.bottom)};
    ++tiles;
  }
  EXPECT_EQ(tiles, l.tiles);
  EXPECT_GE(all.left, r.margin_mm - 1e-5);
  EXPECT_GE(all.top, r.margin_mm - 1e-5);
  EXPECT_LE(all.right, r.sheet.width_mm - r.margin_mm + 1e-5);
  EXPECT_LE(all.bottom, r.sheet.height_mm - r.margin_mm + 1e-5);
  // Opposite margins are equal, and the block is as said.
  EXPECT_NEAR(all.left, r.sheet.width_mm - all.right, 1e-6);
  EXPECT_NEAR(all.top, r.sheet.height_mm - all.bottom, 1e-6);
  EXPECT_NEAR(all.left, l.block.left, 1e-6);
  EXPECT_NEAR(all.bottom, l.block.bottom, 1e-6);
}

/// Tiles that repeat by quarter turns, by sixty degrees, by a glide, by half turns.
inline BuiltTile QuarterTurns() {
  return BuildTile({{{0, 0}, {30, 0}, {30, 30}, {0, 30}},
                    {{0, EdgeMove::kTurn, 1, {{10, 3}, {20, -2}}, false}, {2, EdgeMove::kTurn, 3, {{8, -3}, {20, 2}}, false}}}).value();
}
inline BuiltTile SixtyDegrees() {
  return BuildTile({RegularPolygon(3, 40).value(), {{0, EdgeMove::kTurn, 1, {{10, 3}, {30, -2}}, false}, {2, EdgeMove::kHalfTurn, -1, {{8, 2}}, false}}}).value();
}
inline BuiltTile Glide() {
  return BuildTile({{{0, 0}, {40, 0}, {40, 30}, {0, 30}},
                    {{0, EdgeMove::kGlide, 2, {{10, 4}, {25, -3}}, false}, {1, EdgeMove::kShift, 3, {{10, 3}}, false}}}).value();
}
inline BuiltTile HalfTurns() {
  const EdgeMove half = EdgeMove::kHalfTurn;
  return BuildTile({{{0, 0}, {70, 5}, {25, 60}}, {{0, half, -1, {{10, 3}}, false}, {1, half, -1, {}, false}, {2, half, -1, {}, false}}}).value();
}
inline BuiltTile Hexagon() {
  return BuildTile({RegularPolygon(6, 30).value(), {{0, EdgeMove::kShift, 3, {}, false}, {1, EdgeMove::kShift, 4, {}, false}, {5, EdgeMove::kShift, 2, {}, false}}}).value();
}

}  // namespace truepull::testing

#endif  // TRUEPULL_TESTS_LAYOUT_TILES_H_
