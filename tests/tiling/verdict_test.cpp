// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "tiling/shapes.h"
#include "truepull/tiling.h"
#include "truepull/units.h"

namespace truepull {
namespace {

TEST(JudgeOutline, ABrickRepeatsByShiftsAndIsItsOwnMirrorImage) {
  const auto v = JudgeOutline(Outline{{0, 0}, {60, 0}, {60, 45}, {0, 45}});
  ASSERT_TRUE(v.has_value());
  ASSERT_TRUE(v->shifts);
  EXPECT_EQ(v->shifts->steps.across, (Point{60, 0}));
  EXPECT_EQ(v->shifts->steps.down, (Point{0, 45}));
  EXPECT_TRUE(v->half_turns);
  EXPECT_EQ(v->own_turns, 2);
  EXPECT_TRUE(v->own_mirror);
  EXPECT_TRUE(v->weak_places.empty());
}

TEST(JudgeOutline, AnyTriangleRepeatsOnlyWithHalfTurns) {
  const auto v = JudgeOutline(Outline{{0, 0}, {50, 7}, {13, 41}});
  ASSERT_TRUE(v.has_value());
  EXPECT_FALSE(v->shifts);
  ASSERT_TRUE(v->half_turns);
  EXPECT_EQ(v->half_turns->meetings.size(), 3u);
  EXPECT_EQ(v->half_turns->cell.size(), 2u);
  EXPECT_NEAR(Cross(v->half_turns->steps.across, v->half_turns->steps.down), 2 * v->area_mm2,
              1e-6);
  EXPECT_EQ(v->own_turns, 1);
  EXPECT_FALSE(v->own_mirror);
}

TEST(JudgeOutline, AReentrantQuadrangleRepeatsWithHalfTurns) {
  const auto v = JudgeOutline(Outline{{0, 0}, {50, 0}, {20, 15}, {10, 60}});
  ASSERT_TRUE(v.has_value());
  EXPECT_FALSE(v->shifts);
  EXPECT_TRUE(v->half_turns);
}

TEST(JudgeOutline, RegularPolygonsRepeatWithThreeFourAndSixSidesOnly) {
  for (int n = 3; n <= 12; ++n) {
    Outline o;
    for (int i = 0; i < n; ++i) {
      const double a = 2 * std::numbers::pi * i / n + 0.3;
      o.push_back({30 * std::cos(a), 30 * std::sin(a)});
    }
    const auto v = JudgeOutline(o);
    ASSERT_TRUE(v.has_value());
    EXPECT_EQ(v->shifts.has_value(), n == 4 || n == 6) << n;
    EXPECT_EQ(v->half_turns.has_value(), n == 3 || n == 4 || n == 6) << n;
    EXPECT_EQ(v->own_turns, n);
    EXPECT_TRUE(v->own_mirror);
  }
}

TEST(JudgeOutline, DrawnEdgesRepeatWhereverTheOutlineStartsAndWhicheverWayItRuns) {
  std::mt19937 random(7);
  for (int round = 0; round < 20; ++round) {
    SCOPED_TRACE(round);
    Outline tile = testing_shapes::ShiftTile({61.3, 4.2}, {-7.7, 44.1}, {10, 9}, 12, random);
    std::rotate(tile.begin(), tile.begin() + round, tile.end());
    if (round % 2) std::reverse(tile.begin(), tile.end());
    const auto v = JudgeOutline(tile);
    ASSERT_TRUE(v.has_value());
    ASSERT_TRUE(v->shifts);
    const LatticeSteps want = OrientSteps(ReduceSteps({{61.3, 4.2}, {-7.7, 44.1}}));
    EXPECT_NEAR(Norm(v->shifts->steps.across - want.across), 0, 1e-3);
    EXPECT_NEAR(Norm(v->shifts->steps.down - want.down), 0, 1e-3);
    EXPECT_EQ(v->own_turns, 1);
    EXPECT_FALSE(v->own_mirror);
    // Each meeting is what it says.
    for (const Meeting& m : v->shifts->meetings) {
      EXPECT_NEAR(Norm(PointAlong(tile, m.from_mm) + m.shift - PointAlong(tile, m.partner_to_mm)),
                  0, 1e-3);
      EXPECT_NEAR(Norm(PointAlong(tile, m.to_mm) + m.shift - PointAlong(tile, m.partner_from_mm)),
                  0, 1e-3);
    }
  }
}

TEST(JudgeOutline, DrawnHalfTurnEdgesRepeatWithHalfTurnsOnly) {
  std::mt19937 random(11);
  for (int round = 0; round < 20; ++round) {
    SCOPED_TRACE(round);
    const Outline tile = testing_shapes::HalfTurnTile({{0, 0}, {58, 5}, {66, 40}, {-4, 52}}, 6, random);
    if (FindSelfCrossing(tile)) continue;
    const auto v = JudgeOutline(tile);
    ASSERT_TRUE(v.has_value());
    EXPECT_FALSE(v->shifts);
    ASSERT_TRUE(v->half_turns);
    EXPECT_NEAR(Cross(v->half_turns->steps.across, v->half_turns->steps.down), 2 * v->area_mm2,
                0.01);
  }
}

TEST(JudgeOutline, FinelyDrawnOutlinesKeepTheirRepeat) {
  // 0.07 mm from point to point: most stops of the search are chance, and some are left out.
  for (const unsigned seed : {21U, 22U, 23U}) {
    SCOPED_TRACE(seed);
    std::mt19937 random(seed);
    const Outline turned = testing_shapes::HalfTurnTile({{0, 0}, {58, 5}, {66, 40}, {-4, 52}}, 400, random);
    ASSERT_EQ(turned.size(), 3200u);
    const auto by_turns = JudgeOutline(turned);
    ASSERT_TRUE(by_turns.has_value());
    EXPECT_FALSE(by_turns->shifts);
    ASSERT_TRUE(by_turns->half_turns);
    EXPECT_EQ(by_turns->half_turns->meetings.size(), 4u);
    EXPECT_NEAR(Cross(by_turns->half_turns->steps.across, by_turns->half_turns->steps.down), 2 * by_turns->area_mm2, 0.01);

    const auto by_shifts = JudgeOutline(testing_shapes::ShiftTile({61, 3}, {-6, 44}, {9, 7}, 533, random));
    ASSERT_TRUE(by_shifts.has_value());
    ASSERT_TRUE(by_shifts->shifts);
    EXPECT_NEAR(Cross(by_shifts->shifts->steps.across, by_shifts->shifts->steps.down), by_shifts->area_mm2, 0.01);
  }
}

TEST(JudgeOutline, OneMovedPointIsSeen) {
  std::mt19937 random(3);
  Outline tile = testing_shapes::ShiftTile({60, 0}, {0, 45}, {8, 8}, 10, random);
  ASSERT_TRUE(JudgeOutline(tile)->shifts);
  tile[5] = tile[5] + Point{0.01, 0.0};
  const auto v = JudgeOutline(tile);
  EXPECT_FALSE(v->shifts);
  EXPECT_FALSE(v->half_turns);
}

TEST(CheckOutline, NamesWhatIsWrongInPlainSentences) {
  EXPECT_EQ(CheckOutline(Outline{{0, 0}, {1, 1}}).error().message,
            "the outline has 2 points; a tile needs 3 or more");
  EXPECT_EQ(CheckOutline(Outline{{0, 0}, {10, 0}, {10, 0}, {0, 10}}).error().message,
            "points 2 and 3 of the outline are the same (10.000, 0.000): an edge of no length");
  EXPECT_EQ(CheckOutline(Outline{{0, 0}, {10, 10}, {10, 0}, {0, 10}}).error().message,
            "the outline meets itself at (5.00, 5.00) mm: the edge from point 1 to 2 and the edge "
            "from point 3 to 4");
}

TEST(FindWeakPlaces, MarksANeckAndASharpPoint) {
  // Two rooms of 30 mm joined by a passage 3 mm wide.
  const auto neck = FindWeakPlaces(Outline{{0, 0}, {30, 0}, {30, 13}, {40, 13}, {40, 0}, {70, 0},
                                           {70, 30}, {40, 30}, {40, 16}, {30, 16}, {30, 30}, {0, 30}});
  ASSERT_EQ(neck.size(), 1u);
  EXPECT_EQ(neck[0].kind, WeakPlace::Kind::kNeck);
  EXPECT_NEAR(neck[0].width_mm, 3, 1e-9);
  EXPECT_NEAR(neck[0].at.y, 14.5, 1e-9);
  EXPECT_GE(neck[0].at.x, 30);
  EXPECT_LE(neck[0].at.x, 40);
  // tan(a / 2) = 5 / 60: a = 9.5 degrees at the tip.
  const auto point = FindWeakPlaces(Outline{{0, 0}, {60, 5}, {0, 10}});
  ASSERT_EQ(point.size(), 1u);
  EXPECT_EQ(point[0].kind, WeakPlace::Kind::kPoint);
  EXPECT_NEAR(DegFromRad(point[0].angle_rad), 9.527, 0.01);
}

TEST(JudgeOutline, TakesFourHundredPoints) {
  std::mt19937 random(5);
  const Outline tile = testing_shapes::ShiftTile({80, 0}, {6, 70}, {9, 12}, 66, random);
  ASSERT_GE(tile.size(), 390u);
  const auto v = JudgeOutline(tile);
  ASSERT_TRUE(v.has_value());
  ASSERT_TRUE(v->shifts);
  EXPECT_NEAR(std::abs(Cross(v->shifts->steps.across, v->shifts->steps.down)), v->area_mm2, 1e-6);
}

}  // namespace
}  // namespace truepull
