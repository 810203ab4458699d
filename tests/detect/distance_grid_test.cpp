// SPDX-License-Identifier: Apache-2.0
// The table of distances against the slow, exact way.
#include <gtest/gtest.h>

#include <algorithm>

#include "detect/plate_shape.h"
#include "support/made_plans.h"
#include "support/random.h"

namespace truepull::testing {
namespace {

using detect::DistanceGrid;

constexpr double kReach = 5;

// Largest difference from SignedDistance, clipped alike, over random places.
double WorstOff(const Outline& outline, const DistanceGrid& grid, Chance& chance, int places) {
  const Box box = BoundingBox(outline);
  double worst = 0;
  for (int i = 0; i < places; ++i) {
    const Point p{chance.Number(box.left - 8, box.right + 8), chance.Number(box.top - 8, box.bottom + 8)};
    const double exact = std::clamp(SignedDistance(outline, p), -kReach, kReach);
    // Half-way between two sides the distance has a ridge, which no table of points
    // holds: only near the outline is the table asked to be exact.
    if (std::abs(exact) > 2) continue;
    worst = std::max(worst, std::abs(exact - static_cast<double>(grid.At(p))));
  }
  return worst;
}

TEST(DistanceGrid, AgreesWithTheExactDistanceNearEveryOutline) {
  Chance chance(1);
  for (const MadePlan& made : AllMadePlans()) {
    const Outline& outline = made.plan.plates[0].outline;
    const DistanceGrid grid(outline, 0.25, kReach);
    // 0.12 mm: at a corner, linear interpolation cuts up to half a cell's diagonal.
    EXPECT_LT(WorstOff(outline, grid, chance, 4000), 0.12) << made.name;
  }
}

TEST(DistanceGrid, IsExactAlongAStraightSide) {
  const Outline outline{{-30, -20}, {30, -20}, {30, 20}, {-30, 20}};
  const DistanceGrid grid(outline, 0.25, kReach);
  for (double depth = -4.5; depth <= 4.5; depth += 0.3) {
    EXPECT_NEAR(static_cast<double>(grid.At({3.1, -20 + depth})), depth, 1e-4);
    EXPECT_NEAR(static_cast<double>(grid.At({30 - depth, 1.7})), depth, 1e-4);
  }
}

TEST(DistanceGrid, IsClippedFarInsideAndFarOutside) {
  const Outline outline{{-30, -20}, {30, -20}, {30, 20}, {-30, 20}};
  const DistanceGrid grid(outline, 0.25, kReach);
  EXPECT_FLOAT_EQ(grid.At({0, 0}), 5);
  EXPECT_FLOAT_EQ(grid.At({0, 200}), -5);
  EXPECT_FLOAT_EQ(grid.At({-36, 0}), -5);
}

}  // namespace
}  // namespace truepull::testing
