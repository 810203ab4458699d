// SPDX-License-Identifier: Apache-2.0
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>

#include "layout/tiles.h"
#include "support/random.h"
#include "truepull/cell_fit.h"
#include "truepull/plan_text.h"
#include "truepull/site_colours.h"

namespace truepull {
namespace {

using namespace testing;
using ::testing::HasSubstr;

SheetLayout Fit(const LayoutRequest& r) {
  const auto l = FitOnSheet(r);
  EXPECT_TRUE(l.has_value()) << (l ? "" : l.error().message);
  return l.has_value() ? *l : SheetLayout{};
}

// A3 with margins of 15 leaves 390 x 267 mm. 6 x 60 = 360, 5 x 45 = 225: 30 tiles.
TEST(FitOnSheet, LaysTheHarbourTileStraightOnA3) {
  for (const RepeatKind kind : {RepeatKind::kOwn, RepeatKind::kStraight}) {
    const SheetLayout l = Fit(Gulls(kind));
    EXPECT_EQ(l.lattice.rows, 5);
    EXPECT_EQ(l.lattice.columns, 6);
    EXPECT_NEAR(l.lattice.origin.x, 30, 1e-9);
    EXPECT_NEAR(l.lattice.origin.y, 36, 1e-9);
    EXPECT_EQ(l.lattice.stagger_rows, 0);
    EXPECT_EQ(l.lattice.stagger_columns, 0);
    EXPECT_NEAR(l.unused_share, 1 - 30 * 2700.0 / (420 * 297), 1e-12);
    ExpectOnTheSheet(Gulls(kind), l);
  }
}

// Half-drop: every other column 22.5 mm lower, so 5 x 45 + 22.5 = 247.5 mm high.
TEST(FitOnSheet, HalfDropLowersEveryOtherColumn) {
  const SheetLayout l = Fit(Gulls(RepeatKind::kHalfDrop));
  EXPECT_EQ(l.tiles, 30);
  EXPECT_EQ(l.lattice.stagger_columns, 0.5);
  EXPECT_EQ(l.lattice.stagger_rows, 0);
  EXPECT_NEAR(l.lattice.origin.x, 30, 1e-9);
  EXPECT_NEAR(l.lattice.origin.y, 24.75, 1e-9);
  const Point a = IdealPose(l.lattice, {0, 0}).at, b = IdealPose(l.lattice, {0, 1}).at, c = IdealPose(l.lattice, {1, 0}).at;
  EXPECT_NEAR(b.x - a.x, 60, 1e-9);
  EXPECT_NEAR(b.y - a.y, 22.5, 1e-9);
  EXPECT_NEAR(c.x - a.x, 0, 1e-9);
  ExpectOnTheSheet(Gulls(RepeatKind::kHalfDrop), l);
}

// Brick: every other row 30 mm to the right: 6 x 60 + 30 = 390, all there is.
TEST(FitOnSheet, BrickSetsEveryOtherRowToTheRight) {
  const SheetLayout l = Fit(Gulls(RepeatKind::kBrick));
  EXPECT_EQ(l.lattice.rows, 5);
  EXPECT_EQ(l.lattice.columns, 6);
  EXPECT_EQ(l.lattice.stagger_rows, 0.5);
  EXPECT_EQ(l.lattice.stagger_columns, 0);
  EXPECT_NEAR(l.lattice.origin.x, 15, 1e-9);
  EXPECT_NEAR(l.lattice.origin.y, 36, 1e-9);
  ExpectOnTheSheet(Gulls(RepeatKind::kBrick), l);
  // A millimetre less, and a column is lost.
  LayoutRequest r = Gulls(RepeatKind::kBrick);
  r.margin_mm = 15.5;
  EXPECT_EQ(Fit(r).lattice.columns, 5);
}

// On its side: 45 across, 8 x 45 = 360; 60 down, 4 x 60 = 240: 32 tiles, two more.
TEST(FitOnSheet, FindsTheTurnThatHoldsMost) {
  LayoutRequest r = Gulls();
  r.turn_rad.reset();
  const SheetLayout l = Fit(r);
  EXPECT_GE(l.tiles, 32);
  ExpectOnTheSheet(r, l);
  // No degree holds more than the best does.
  for (int deg = -90; deg <= 90; deg += 15) {
    r.turn_rad = RadFromDeg(deg);
    const auto other = FitOnSheet(r);
    if (!other) continue;
    EXPECT_LE(other->tiles, l.tiles) << deg;
    ExpectOnTheSheet(r, *other);
  }
}

// A hexagon that lies on a side stands in columns (half-drop), one on its point in rows
// (brick); never the other. Side 30: 60 mm wide, 51.96 high, columns 45 mm apart. Half-drop
// on 390 x 267: 60 + 7 x 45 = 375, so 8 columns; 4 x 51.96 + 25.98 = 233.8, so 4 rows. In rows
// of every other column, 90 mm apart, 9 half rows of 4 fit: 60 + 3 x 90 + 45 = 375,
// 51.96 + 8 x 25.98 = 259.8. These are four tiles more, and `own` finds them.
TEST(FitOnSheet, AHexagonStandsInBricksOrDropsByHowItLies) {
  LayoutRequest flat = Of(Hexagon(), 420, 297);
  EXPECT_EQ(Fit(flat).tiles, 36);
  ExpectOnTheSheet(flat, Fit(flat));
  LayoutRequest pointed = flat;
  const Rotation turn(RadFromDeg(30));
  for (Point& p : pointed.plates[0].outline) p = turn * p;
  pointed.steps = {turn * flat.steps.across, turn * flat.steps.down};
  flat.repeat = pointed.repeat = RepeatKind::kHalfDrop;
  EXPECT_EQ(Fit(flat).lattice.columns, 8);
  EXPECT_EQ(Fit(flat).lattice.rows, 4);
  EXPECT_EQ(Fit(flat).lattice.stagger_columns, 0.5);
  EXPECT_THAT(FitOnSheet(pointed).error().message, HasSubstr("do not fit together in a half-drop repeat"));
  flat.repeat = pointed.repeat = RepeatKind::kBrick;
  EXPECT_EQ(Fit(pointed).lattice.stagger_rows, 0.5);
  EXPECT_EQ(Fit(pointed).lattice.stagger_columns, 0);
  EXPECT_THAT(FitOnSheet(flat).error().message, HasSubstr("do not fit together in a brick repeat"));
  flat.repeat = RepeatKind::kStraight;
  EXPECT_THAT(FitOnSheet(flat).error().message, HasSubstr("mm in one another"));
}

TEST(FitOnSheet, RefusesWhatRunsOffTheSheetAndSaysByHowMuch) {
  LayoutRequest r = Gulls();
  r.rows = 6;
  r.columns = 7;
  EXPECT_EQ(FitOnSheet(r).error().message,
            "6 rows of 7 columns run off the sheet: they are 420.0 mm wide, 30.0 mm more than the 390.0 mm between "
            "the margins and 270.0 mm high, 3.0 mm more than the 267.0 mm between the margins");
  r.rows = 5;
  r.columns = 6;
  EXPECT_EQ(Fit(r).tiles, 30);
  r.columns = 0;
  r.rows = 2;
  EXPECT_EQ(Fit(r).lattice.columns, 6);
  r = Gulls();
  r.sheet.width_mm = 80;
  r.sheet.height_mm = 100;
  EXPECT_EQ(FitOnSheet(r).error().message,
            "not one tile fits on the sheet: it is 60.0 mm wide, 10.0 mm more than the 50.0 mm between the margins");
  r.margin_mm = 45;
  EXPECT_EQ(FitOnSheet(r).error().message, "margins of 45.0 mm leave nothing of a sheet of 80.0 x 100.0 mm");
}

TEST(FitOnSheet, KeepsTheMarginsOnTheSmallerOfDryAndDamp) {
  LayoutRequest r = Gulls(RepeatKind::kBrick);
  r.sheet.grain = Grain::kX;
  r.sheet.stretch_along_percent = -0.5;  // 420 becomes 417.9 mm: no room for 390.
  r.sheet.stretch_across_percent = 1.4;
  const SheetLayout l = Fit(r);
  EXPECT_EQ(l.lattice.columns, 5);
  EXPECT_NEAR(l.damp_size_mm->x, 417.9, 1e-9);
  EXPECT_NEAR(l.damp_size_mm->y, 297 * 1.014, 1e-9);
}

// Every way of repeating: on the sheet, touching without gap, and a plan without warnings.
TEST(FitOnSheet, LaysOutEveryKindOfRepeatAsAPlanWithoutWarnings) {
  for (const BuiltTile& tile : {QuarterTurns(), SixtyDegrees(), Glide(), HalfTurns(), Hexagon()}) {
    for (const double deg : {0.0, 20.0}) {
      LayoutRequest r = Of(tile, 420, 297, 10);
      r.turn_rad = RadFromDeg(deg);
      const SheetLayout l = Fit(r);
      ExpectOnTheSheet(r, l);
      // The same pattern: members of the laid-out cell still fit together.
      const Plan plan = PlanOf(r, l, "Harbour");
      std::vector<Outline> members;
      const auto k = static_cast<int>(l.lattice.cell.size());
      for (int m = 0; m < k; ++m) members.push_back(Apply(IdealPose(l.lattice, {0, m}), OutlineAt(plan, {0, m})));
      LatticeSteps steps{l.lattice.across, l.lattice.down};
      if (l.lattice.stagger_rows != 0) steps.down = steps.down + l.lattice.stagger_rows * steps.across;
      if (l.lattice.stagger_columns != 0) steps.across = steps.across + l.lattice.stagger_columns * steps.down;
      const CellFit fit = FitOfCell(members, steps);
      EXPECT_TRUE(fit.Fits()) << fit.overlap_mm << " " << fit.spare_mm2;
      const auto back = ParsePlan(WritePlan(plan), "plan.yaml");
      ASSERT_TRUE(back.has_value()) << back.error().message;
      EXPECT_THAT(back->warnings, ::testing::IsEmpty());
      EXPECT_EQ(back->plan.lattice.origin, plan.lattice.origin);
      EXPECT_EQ(back->plan.lattice.cell.size(), plan.lattice.cell.size());
    }
  }
}

TEST(FitOnSheet, LaysOctagonsAndSquaresAsTwoPlates) {
  const OctagonPair pair = OctagonWithSquare(25);
  LayoutRequest r = OnSheet(pair.octagon, pair.steps, 420, 297);
  r.plates[0].name = "octagon";
  Plate square;
  square.name = "square", square.outline = pair.square;
  r.plates.push_back(square);
  r.cell = {{0, {}, 0, false}, {1, pair.square_at, 0, false}};
  const SheetLayout l = Fit(r);
  ExpectOnTheSheet(r, l);
  EXPECT_THAT(ParsePlan(WritePlan(PlanOf(r, l, "")), "plan.yaml")->warnings, ::testing::IsEmpty());
  // Step 60.36 mm; 390 / 60.36 = 6.46, 267 / 60.36 = 4.42. Squares stand in the notches and
  // stick out on one side by half a diagonal (17.68 mm) more: 6 and 4 fit.
  EXPECT_EQ(l.lattice.rows * l.lattice.columns, 24);
}

// Random tiles that repeat by shifts (a parallelogram with a drawn pair of sides), random
// sheets: the count is never less than of the plain unturned block, counted directly.
TEST(FitOnSheet, NeverHoldsLessThanThePlainBlock) {
  testing::Chance chance(20);
  for (int k = 0; k < 12; ++k) {
    const Point a{chance.Number(25, 60), chance.Number(-15, 15)}, d{chance.Number(-20, 20), chance.Number(25, 60)};
    const LayoutRequest r = OnSheet({{0, 0}, a, a + d, d}, {a, d}, chance.Number(200, 600), chance.Number(200, 600), 10);
    const auto l = FitOnSheet(r);
    ASSERT_TRUE(l.has_value()) << k << l.error().message;
    ExpectOnTheSheet(r, *l);
    int plain = 0;
    for (int rows = 1; rows < 30; ++rows) {
      for (int columns = 1; columns < 30; ++columns) {
        const double w = columns * a.x + rows * std::abs(d.x), h = rows * d.y + columns * std::abs(a.y);
        if (w <= r.sheet.width_mm - 20 && h <= r.sheet.height_mm - 20) plain = std::max(plain, rows * columns);
      }
    }
    EXPECT_GE(l->tiles, plain) << k;
  }
}

}  // namespace
}  // namespace truepull
