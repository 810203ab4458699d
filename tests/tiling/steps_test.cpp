// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <cmath>

#include "truepull/tiling.h"

namespace truepull {
namespace {

// Same step, either sign.
bool Same(Point a, Point b) { return a == b || a == -1.0 * b; }

void ExpectReduced(LatticeSteps from, Point a, Point b, double cell) {
  const LatticeSteps got = ReduceSteps(from);
  EXPECT_TRUE(Same(got.across, a)) << got.across.x << ", " << got.across.y;
  EXPECT_TRUE(Same(got.down, b)) << got.down.x << ", " << got.down.y;
  EXPECT_EQ(std::abs(Cross(got.across, got.down)), cell);
  EXPECT_LE(2 * std::abs(Dot(got.across, got.down)), Dot(got.across, got.across));
}

// J. Hoffstein, J. Pipher, J. H. Silverman, An Introduction to Mathematical Cryptography,
// the example of Gaussian lattice reduction; cell recomputed.
TEST(ReduceSteps, GivesThePublishedExample) {
  ExpectReduced({{66586820, 65354729}, {6513996, 6393464}}, {2280, -1001}, {-1324, -2376},
                6742604);
}

// Worked on paper: (6,21) - 4 (1,5) = (2,1); (1,5) - 1 (2,1) = (-1,4).
TEST(ReduceSteps, GivesSmallExamplesWorkedByHand) {
  ExpectReduced({{1, 5}, {6, 21}}, {2, 1}, {-1, 4}, 9);
  ExpectReduced({{40, 3}, {97, 15}}, {6, -15}, {17, 9}, 309);
}

TEST(OrientSteps, PutsAcrossToTheRightAndDownDownward) {
  const LatticeSteps got = OrientSteps({{3, -40}, {-60, 2}});
  EXPECT_EQ(got.across, (Point{60, -2}));
  EXPECT_EQ(got.down, (Point{-3, 40}));
}

}  // namespace
}  // namespace truepull
