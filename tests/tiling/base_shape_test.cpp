// SPDX-License-Identifier: Apache-2.0
#include "truepull/base_shape.h"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

#include "truepull/units.h"

namespace truepull {
namespace {

const std::vector<Point> kWave{{12, 4}, {24, -3}, {40, 5}};
const std::vector<Point> kHalfWave{{8, 4}, {20, -3}};

DrawnSide Side(int side, EdgeMove move, int partner, bool smooth = true) {
  return {side, move, partner, move == EdgeMove::kHalfTurn ? kHalfWave : kWave, smooth};
}

// Every member of the cell and the tiles round it lie against one another: random places
// are covered once. Independent of the builder's own places and steps.
void ExpectCovers(const BuiltTile& t, std::size_t members) {
  EXPECT_EQ(t.cell.size(), members);
  EXPECT_NEAR(Cross(t.steps.across, t.steps.down),
              static_cast<double>(members) * std::abs(SignedArea(t.outline)), 1e-6);
  for (int k = 0; k < 300; ++k) {
    const Point at{37.123 * std::sin(1.7 * k), 41.77 * std::cos(2.3 * k + 0.3)};
    int covers = 0;
    for (const CellMember& m : t.cell) {
      Outline o = t.outline;
      if (m.mirrored) {
        for (Point& p : o) p.x = -p.x;
      }
      for (int i = -9; i <= 9; ++i) {
        for (int j = -9; j <= 9; ++j) {
          const Point back = at - static_cast<double>(i) * t.steps.across - static_cast<double>(j) * t.steps.down;
          covers += Contains(o, ApplyInverse({m.at, m.turn_rad}, back));
        }
      }
    }
    ASSERT_EQ(covers, 1) << at.x << ", " << at.y;
  }
}

TEST(BuildTile, ARectangleShiftedBothWaysIsOneTileACell) {
  const auto t = BuildTile({{{0, 0}, {60, 0}, {60, 45}, {0, 45}},
                            {Side(0, EdgeMove::kShift, 2), Side(1, EdgeMove::kShift, 3, false)}});
  ASSERT_TRUE(t.has_value()) << t.error().message;
  ExpectCovers(*t, 1);
  EXPECT_TRUE(JudgeOutline(t->outline)->shifts);
}

TEST(BuildTile, AHexagonOfThreeShifts) {
  const auto hexagon = RegularPolygon(6, 50);
  ASSERT_TRUE(hexagon.has_value());
  const auto t = BuildTile({*hexagon, {Side(0, EdgeMove::kShift, 3), Side(1, EdgeMove::kShift, 4),
                                       Side(5, EdgeMove::kShift, 2)}});
  ASSERT_TRUE(t.has_value()) << t.error().message;
  ExpectCovers(*t, 1);
}

TEST(BuildTile, AnyTriangleAndAnyQuadrangleTurnedHalfRoundAreTwo) {
  const EdgeMove half = EdgeMove::kHalfTurn;
  const auto t = BuildTile({{{0, 0}, {70, 5}, {25, 60}}, {Side(0, half, -1), Side(1, half, -1), Side(2, half, -1)}});
  ASSERT_TRUE(t.has_value()) << t.error().message;
  ExpectCovers(*t, 2);
  EXPECT_TRUE(JudgeOutline(t->outline)->half_turns);
  const auto q = BuildTile({{{0, 0}, {70, 5}, {75, 70}, {-8, 62}},
                            {Side(0, half, -1), Side(1, half, -1), Side(2, half, -1), Side(3, half, -1)}});
  ASSERT_TRUE(q.has_value()) << q.error().message;
  ExpectCovers(*q, 2);
}

TEST(BuildTile, ASquareTurnedAboutTwoCornersIsFour) {
  const auto t = BuildTile({{{0, 0}, {50, 0}, {50, 50}, {0, 50}},
                            {Side(0, EdgeMove::kTurn, 1), Side(2, EdgeMove::kTurn, 3)}});
  ASSERT_TRUE(t.has_value()) << t.error().message;
  ExpectCovers(*t, 4);
  EXPECT_FALSE(t->needs_mirrored_plate);
}

TEST(BuildTile, ATriangleTurnedBySixtyIsSixAndAHexagonByHundredAndTwentyThree) {
  const auto triangle = RegularPolygon(3, 52);
  const auto t = BuildTile({*triangle, {Side(0, EdgeMove::kTurn, 1), Side(2, EdgeMove::kHalfTurn, -1)}});
  ASSERT_TRUE(t.has_value()) << t.error().message;
  ExpectCovers(*t, 6);
  const auto hexagon = RegularPolygon(6, 52);
  const auto h = BuildTile({*hexagon, {Side(0, EdgeMove::kTurn, 1), Side(2, EdgeMove::kTurn, 3),
                                       Side(4, EdgeMove::kTurn, 5)}});
  ASSERT_TRUE(h.has_value()) << h.error().message;
  ExpectCovers(*h, 3);
}

TEST(BuildTile, AKiteWithTwoPairsTurned) {
  // 60 degrees at one end, 120 at the other, 90 at the sides.
  const double s = 52, r = s / std::sqrt(3.0);
  const Outline kite{{0, 0}, {s, 0}, {s, r}, {s / 2, s * std::sqrt(3.0) / 2}};
  const auto t = BuildTile({kite, {Side(3, EdgeMove::kTurn, 0), {1, EdgeMove::kTurn, 2, {{8, 3}, {20, -2}}, true}}});
  ASSERT_TRUE(t.has_value()) << t.error().message;
  ExpectCovers(*t, 6);
}

TEST(BuildTile, AGlideNeedsAMirroredPlateAndSaysSo) {
  const auto t = BuildTile({{{0, 0}, {60, 0}, {60, 50}, {0, 50}},
                            {Side(0, EdgeMove::kGlide, 2), Side(1, EdgeMove::kShift, 3)}});
  ASSERT_TRUE(t.has_value()) << t.error().message;
  EXPECT_TRUE(t->needs_mirrored_plate);
  ExpectCovers(*t, 2);
  EXPECT_TRUE(t->cell[1].mirrored);
}

TEST(BuildTile, RefusesMovesThatCannotBeWithTheReason) {
  const Outline square{{0, 0}, {50, 0}, {50, 50}, {0, 50}};
  EXPECT_EQ(BuildTile({square, {Side(0, EdgeMove::kShift, 2)}}).error().message,
            "side 2 has no move: nothing says which side meets it");
  EXPECT_EQ(BuildTile({square, {Side(0, EdgeMove::kShift, 1)}}).error().message,
            "side 1 cannot be shifted to side 2: they are not parallel (90.0 degrees)");
  EXPECT_EQ(BuildTile({{{0, 0}, {60, 0}, {60, 50}, {0, 50}}, {Side(0, EdgeMove::kTurn, 1)}}).error().message,
            "side 1 is 60.000 mm long and side 2 50.000 mm: partners must be equally long");
  Outline pentagon;
  for (int i = 0; i < 5; ++i) {
    pentagon.push_back({50 * std::cos(1.2566370614359172 * i), 50 * std::sin(1.2566370614359172 * i)});
  }
  BaseShape five{pentagon, {}};
  for (int i = 0; i < 5; ++i) five.sides.push_back({i, EdgeMove::kHalfTurn, -1, {}, false});
  EXPECT_EQ(BuildTile(five).error().message,
            "the moves do not fit together: laid side to side the tiles overlap or leave gaps (inner "
            "angles 108.0, 108.0, 108.0, 108.0, 108.0 degrees; those that meet at a corner must make 360)");
}

TEST(RegularPolygon, RefusesTheOctagonAndShowsTheWayOut) {
  const auto octagon = RegularPolygon(8, 30);
  ASSERT_FALSE(octagon.has_value());
  EXPECT_EQ(octagon.error().message,
            "a regular shape of 8 sides cannot repeat alone: its inner angles have 135.000 degrees, and 2 "
            "of them make 270.0, 3 405.0, never 360");
  EXPECT_NE(octagon.error().hint.find("72.426 mm"), std::string::npos);
  for (int n : {5, 7, 9, 10, 12}) EXPECT_FALSE(RegularPolygon(n, 30).has_value());
}

TEST(OctagonWithSquare, FillsTheCell) {
  const OctagonPair p = OctagonWithSquare(30);
  const double side = Norm(p.octagon[2] - p.octagon[1]);
  EXPECT_NEAR(side, 30, 1e-9);
  EXPECT_NEAR(Norm(p.square[1] - p.square[0]), 30, 1e-9);
  EXPECT_NEAR(std::abs(SignedArea(p.octagon)) + std::abs(SignedArea(p.square)),
              Cross(p.steps.across, p.steps.down), 1e-9);
  EXPECT_NEAR(p.steps.across.x, 30 * (1 + std::numbers::sqrt2), 1e-12);
}

}  // namespace
}  // namespace truepull
