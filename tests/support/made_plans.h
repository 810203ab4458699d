// SPDX-License-Identifier: Apache-2.0
// Plans of many kinds of tile, made here: what benchmarks and tests render and measure.
#ifndef TRUEPULL_TESTS_SUPPORT_MADE_PLANS_H_
#define TRUEPULL_TESTS_SUPPORT_MADE_PLANS_H_

#include <string>
#include <vector>

#include "truepull/plan.h"

namespace truepull::testing {

struct MadePlan {
  std::string name;
  Plan plan;
};

/// Touching rectangles with the lattice in the middle of the sheet; two colours, turn about.
Plan RectanglesOn(double sheet_width_mm, double sheet_height_mm, int rows, int columns, double width_mm,
                  double height_mm, double gutter_mm = 0);

/// The same with sides that wave, so that neighbours lock into one another.
Plan WavesOn(double sheet_width_mm, double sheet_height_mm, int rows, int columns, double width_mm,
             double height_mm);

/// Hexagons, touching; every other row half a step to the right.
Plan HexagonsOn(double sheet_width_mm, double sheet_height_mm, int rows, int columns, double radius_mm);

/// A tile whose left and right sides are their own half-turn: turns [0, 180] along a row.
Plan HalfTurnsOn(double sheet_width_mm, double sheet_height_mm, int rows, int columns, double width_mm,
                 double height_mm);

/// Triangles, point up and point down in turn.
Plan TrianglesOn(double sheet_width_mm, double sheet_height_mm, int rows, int columns, double base_mm,
                 double height_mm);

/// Rectangles with a round knob on two sides that fits into a hole in the neighbour's.
Plan KnobsOn(double sheet_width_mm, double sheet_height_mm, int rows, int columns, double width_mm,
             double height_mm);

/// samples/harbour/plan.yaml.
Plan HarbourGulls();

/// One plan of each kind on A3, in a fixed order: gull, gutter, rectangle, hexagon,
/// half-turn, triangle, knob, small.
std::vector<MadePlan> AllMadePlans();

}  // namespace truepull::testing

#endif  // TRUEPULL_TESTS_SUPPORT_MADE_PLANS_H_
