// SPDX-License-Identifier: Apache-2.0
#include "truepull/lattice.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "support/random.h"
#include "truepull/plan.h"
#include "truepull/units.h"

namespace truepull::testing {
namespace {

using ::testing::ElementsAre;

Lattice Plain() {
  Lattice lattice;
  lattice.origin = {30, 24};
  lattice.across = {60, 1};
  lattice.down = {-2, 45};
  lattice.rows = 5;
  lattice.columns = 6;
  return lattice;
}

TEST(IdealPose, StepsAcrossAndDownFromTheOrigin) {
  // (30, 24) + 3 (60, 1) + 2 (-2, 45) = (206, 117).
  EXPECT_EQ(IdealPose(Plain(), {2, 3}), (Pose{{206, 117}, 0}));
}

TEST(IdealPose, StaggersEveryOtherRowOrColumn) {
  Lattice lattice = Plain();
  lattice.stagger_rows = 0.5;
  EXPECT_EQ(IdealPose(lattice, {2, 3}).at, (Point{206, 117}));
  // Row 1: (30, 24) + (-2, 45) + 0.5 (60, 1) = (58, 69.5).
  EXPECT_EQ(IdealPose(lattice, {1, 0}).at, (Point{58, 69.5}));
  lattice.stagger_rows = 0;
  lattice.stagger_columns = -0.25;
  // Column 1: (30, 24) + (60, 1) - 0.25 (-2, 45) = (90.5, 13.75).
  EXPECT_EQ(IdealPose(lattice, {0, 1}).at, (Point{90.5, 13.75}));
  EXPECT_EQ(IdealPose(lattice, {0, 2}).at, (Point{150, 26}));
}

TEST(IdealPose, BeginsTheTurnsAnewInEachRow) {
  Lattice lattice = Plain();
  lattice.columns = 3;
  lattice.turns_rad = {0, RadFromDeg(180)};
  for (int row = 0; row < 3; ++row) {
    EXPECT_EQ(IdealPose(lattice, {row, 0}).turn_rad, 0);
    EXPECT_EQ(IdealPose(lattice, {row, 1}).turn_rad, RadFromDeg(180));
    EXPECT_EQ(IdealPose(lattice, {row, 2}).turn_rad, 0);
  }
}

TEST(IdealPose, CountsCellMembersAsColumns) {
  Lattice lattice = Plain();
  lattice.columns = 2;
  lattice.turns_rad = {0, RadFromDeg(90)};
  lattice.cell = {{0, {0, 0}, 0, false}, {1, {30, 12}, RadFromDeg(-90), true}};
  EXPECT_EQ(FileColumns(lattice), 4);
  // File column 3 is member 1 of lattice column 1: (30, 24) + (60, 1) + (30, 12); turns 90 - 90.
  EXPECT_EQ(IdealPose(lattice, {0, 3}), (Pose{{120, 37}, 0}));
  EXPECT_TRUE(MemberAt(lattice, {0, 3}).mirrored);
  EXPECT_EQ(IdealPose(lattice, {0, 1}).turn_rad, RadFromDeg(-90));
}

TEST(AllSites, GoRowByRow) {
  Lattice lattice;
  lattice.rows = 2;
  lattice.columns = 2;
  EXPECT_THAT(AllSites(lattice), ElementsAre(Site{0, 0}, Site{0, 1}, Site{1, 0}, Site{1, 1}));
}

TEST(LatticeCentre, IsTheMiddleOfAPlainLattice) {
  // Half-way to (4, 5): (30, 24) + 2.5 (60, 1) + 2 (-2, 45) = (176, 116.5).
  const Point centre = LatticeCentre(Plain());
  EXPECT_NEAR(centre.x, 176, 1e-12);
  EXPECT_NEAR(centre.y, 116.5, 1e-12);
}

TEST(SiteLabel, IsALetterForTheRowAndANumberFromOne) {
  EXPECT_EQ(SiteLabel({0, 0}), "A1");
  EXPECT_EQ(SiteLabel({2, 3}), "C4");
  EXPECT_EQ(SiteLabel({25, 9}), "Z10");
  EXPECT_EQ(SiteLabel({26, 0}), "AA1");
  EXPECT_EQ(SiteLabel({51, 0}), "AZ1");
  EXPECT_EQ(SiteLabel({52, 0}), "BA1");
  EXPECT_EQ(SiteLabel({701, 0}), "ZZ1");
  EXPECT_EQ(SiteLabel({702, 0}), "AAA1");
}

TEST(OutlineAt, IsTheMirrorImageWhereTheCellSaysSo) {
  Plan plan;
  plan.plates.push_back({});
  plan.plates[0].outline = Chance(5).Star(9);
  plan.lattice.columns = 1;
  plan.lattice.cell = {{0, {0, 0}, 0, false}, {0, {30, 0}, 0, true}};
  const Outline plain = OutlineAt(plan, {0, 0}), mirrored = OutlineAt(plan, {0, 1});
  EXPECT_EQ(plain, plan.plates[0].outline);
  // The walk keeps its sense and the area its size; every point has its mirror image.
  EXPECT_NEAR(SignedArea(mirrored), SignedArea(plain), 1e-9);
  for (const Point& p : plain) {
    EXPECT_NE(std::find(mirrored.begin(), mirrored.end(), Point(-p.x, p.y)), mirrored.end());
  }
}

TEST(PlannedColour, RepeatsTheRowsOfTheMap) {
  Plan plan;
  EXPECT_EQ(PlannedColour(plan, {0, 0}), -1);
  plan.colour_map = {{0, 1, 2}, {2}};
  EXPECT_EQ(PlannedColour(plan, {0, 2}), 2);
  EXPECT_EQ(PlannedColour(plan, {1, 5}), 2);
  EXPECT_EQ(PlannedColour(plan, {2, 1}), 1);
  EXPECT_EQ(PlannedColour(plan, {2, 4}), 1);
}

}  // namespace
}  // namespace truepull::testing
