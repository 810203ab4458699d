// SPDX-License-Identifier: Apache-2.0
#include "photo/quarter_turn.h"

#include <gtest/gtest.h>

#include <cmath>

#include "truepull/units.h"

namespace truepull {
namespace {

constexpr double kFocal = 1000;
constexpr Point kCentre{500, 400};

// Corners of a w x h rectangle, 1000 away, turned and tilted, clockwise.
Quad Seen(double w, double h, double turn_deg, double tilt_deg, double focal = kFocal) {
  const Rotation turn(RadFromDeg(turn_deg)), tilt(RadFromDeg(tilt_deg));
  Quad quad;
  const std::array<Point, 4> corners{Point{-w / 2, -h / 2}, {w / 2, -h / 2}, {w / 2, h / 2}, {-w / 2, h / 2}};
  for (std::size_t i = 0; i < 4; ++i) {
    const Point p = turn * corners[i];
    const double z = 1000 + tilt.s * p.y;
    quad[i] = kCentre + (focal / z) * Point{p.x, tilt.c * p.y};
  }
  return quad;
}

TEST(RatioOfQuad, IsTheRectanglesWhateverTheTilt) {
  for (const double tilt : {0.0, 20.0, 45.0}) {
    EXPECT_NEAR(RatioOfQuad(Seen(420, 297, 10, tilt), kCentre, kFocal), 420.0 / 297, 1e-9) << tilt;
  }
}

TEST(ChooseTurn, KeepsTheTopOfThePictureAsTheTop) {
  for (const double turn : {-40.0, 0.0, 40.0}) {
    const SheetTurn chosen = ChooseTurn(Seen(420, 297, turn, 15), kCentre, kFocal, 420, 297);
    EXPECT_EQ(chosen.top_left, 0U) << turn;
    EXPECT_FALSE(chosen.on_its_side);
  }
}

TEST(ChooseTurn, TurnsUpsideDownSheetsUpright) {
  EXPECT_EQ(ChooseTurn(Seen(420, 297, 175, 10), kCentre, kFocal, 420, 297).top_left, 2U);
}

TEST(ChooseTurn, LaysASheetOnItsSideWhenTheRatioSaysSo) {
  const SheetTurn right = ChooseTurn(Seen(420, 297, 84, 10), kCentre, kFocal, 420, 297);
  EXPECT_EQ(right.top_left, 0U);
  EXPECT_TRUE(right.on_its_side);
  EXPECT_GT(right.roll_rad, 0);
  const SheetTurn left = ChooseTurn(Seen(420, 297, -84, 10), kCentre, kFocal, 420, 297);
  EXPECT_EQ(left.top_left, 0U);
  EXPECT_LT(left.roll_rad, 0);
}

TEST(ChooseTurn, TakesASquareSheetByItsRollAlone) {
  EXPECT_EQ(ChooseTurn(Seen(300, 300, 84, 5), kCentre, kFocal, 300, 300).top_left, 3U);
}

TEST(RatioContradiction, ForgivesAWrongFocalLengthButNotAWrongPlan) {
  // Seen through a lens 1.3 times as long as guessed, strongly tilted.
  const Quad tilted = Seen(420, 297, 0, 50, 1300);
  EXPECT_GT(std::abs(std::log(RatioOfQuad(tilted, kCentre, 1000) / (420.0 / 297))), 0.06);
  EXPECT_LT(std::abs(RatioContradiction(tilted, kCentre, 1000, 1000, false, 420.0 / 297)), 0.06);
  EXPECT_GT(std::abs(RatioContradiction(tilted, kCentre, 1000, 1000, true, 420.0 / 297)), 0.06);
  EXPECT_GT(std::abs(RatioContradiction(Seen(420, 320, 0, 3), kCentre, 1000, 1000, false, 420.0 / 297)), 0.06);
}

}  // namespace
}  // namespace truepull
