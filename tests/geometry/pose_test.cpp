// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <numbers>

#include "support/random.h"
#include "truepull/units.h"

namespace truepull::testing {
namespace {

constexpr double kPi = std::numbers::pi;

TEST(Rotation, TurnsClockwiseAsSeenOnThePrintedFace) {
  // y runs down: a quarter turn clockwise carries right to down.
  const Point down = Rotation(kPi / 2) * Point{1, 0};
  EXPECT_EQ(down, (Point{0, 1}));
}

TEST(Rotation, IsExactForWholeQuarterTurns) {
  for (int quarters = -9; quarters <= 9; ++quarters) {
    Point expected{3, 5};
    for (int i = 0; i < ((quarters % 4) + 4) % 4; ++i) expected = {-expected.y, expected.x};
    EXPECT_EQ(Rotation(quarters * (kPi / 2)) * Point(3, 5), expected) << quarters;
    EXPECT_EQ(Rotation(RadFromDeg(90.0 * quarters)) * Point(3, 5), expected) << quarters;
  }
}

TEST(Pose, AndItsInverseCancel) {
  for (unsigned seed = 1; seed <= 500; ++seed) {
    Chance chance(seed);
    const Pose pose = chance.PoseWithin(1000);
    const Point p = chance.PointWithin(100);
    const Point back = ApplyInverse(pose, Apply(pose, p));
    EXPECT_NEAR(back.x, p.x, 1e-11) << "seed " << seed;
    EXPECT_NEAR(back.y, p.y, 1e-11) << "seed " << seed;
  }
}

TEST(Pose, KeepsAreasAndLengths) {
  for (unsigned seed = 1; seed <= 200; ++seed) {
    Chance chance(seed);
    const Outline tile = chance.Star(chance.Whole(3, 40));
    const Outline on_sheet = Apply(chance.PoseWithin(500), tile);
    EXPECT_NEAR(SignedArea(on_sheet), SignedArea(tile), 1e-9) << "seed " << seed;
    EXPECT_NEAR(Perimeter(on_sheet), Perimeter(tile), 1e-9) << "seed " << seed;
  }
}

TEST(Pose, CarriesAPointByTurnThenShift) {
  // (2, 0) turned 90 degrees clockwise is (0, 2); shifted by (10, 20): (10, 22).
  EXPECT_EQ(Apply(Pose{{10, 20}, kPi / 2}, Point{2, 0}), (Point{10, 22}));
}

TEST(WrapTurn, StaysWithinHalfATurnAndKeepsTheTop) {
  EXPECT_DOUBLE_EQ(WrapTurn(0), 0);
  EXPECT_DOUBLE_EQ(WrapTurn(kPi), kPi);
  EXPECT_DOUBLE_EQ(WrapTurn(-kPi), kPi);
  EXPECT_NEAR(WrapTurn(3 * kPi / 2), -kPi / 2, 1e-15);
  for (unsigned seed = 1; seed <= 200; ++seed) {
    const double turn = Chance(seed).Number(-50, 50), wrapped = WrapTurn(turn);
    EXPECT_GT(wrapped, -kPi) << seed;
    EXPECT_LE(wrapped, kPi) << seed;
    EXPECT_NEAR(std::sin(wrapped), std::sin(turn), 1e-13) << seed;
    EXPECT_NEAR(std::cos(wrapped), std::cos(turn), 1e-13) << seed;
  }
}

TEST(Units, KnowTheInchAndThePoint) {
  EXPECT_DOUBLE_EQ(100 * kPointsPerMm, 100 / 25.4 * 72);  // 283.46 points to 100 mm.
  EXPECT_NEAR(100 * kPointsPerMm, 283.464567, 1e-6);
  EXPECT_EQ(RadFromDeg(180), kPi);
  EXPECT_EQ(DegFromRad(kPi), 180);
}

TEST(DiagonalCovariance, SquaresTheStandardDeviations) {
  EXPECT_EQ(DiagonalCovariance(2, 3, 0.5), (PoseCovariance{4, 0, 0, 0, 9, 0, 0, 0, 0.25}));
}

}  // namespace
}  // namespace truepull::testing
