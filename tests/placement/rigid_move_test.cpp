// SPDX-License-Identifier: Apache-2.0
#include "truepull/rigid_move.h"

#include <gtest/gtest.h>

#include "support/random.h"
#include "support/sheets.h"

namespace truepull::testing {
namespace {

std::vector<std::optional<Pose>> Moved(const Plan& plan, Point about, double turn, Point shift) {
  std::vector<std::optional<Pose>> out;
  for (const Site s : AllSites(plan.lattice)) {
    const Pose ideal = IdealPose(plan.lattice, s);
    out.emplace_back(Pose{about + shift + Rotation(turn) * (ideal.at - about), ideal.turn_rad + turn});
  }
  return out;
}

TEST(RigidMove, GoesThereAndBack) {
  Chance chance(51);
  for (int i = 0; i < 200; ++i) {
    const RigidMove m{chance.PointWithin(300), chance.PointWithin(5), chance.Number(-1, 1)};
    const Point p = chance.PointWithin(400);
    EXPECT_LT(Norm(ApplyInverse(m, Apply(m, p)) - p), 1e-10);
  }
}

TEST(PlaceBlocks, OneBlockFollowsASheetThatMovedAsOneWhateverAFewPullsDo) {
  const Plan plan = RectanglePlan(4, 6);
  auto impressions = Moved(plan, {100, 80}, 0.013, {1.7, -0.9});
  const auto truth = impressions;
  impressions[7]->at.x += 15;      // Two wild pulls and a missing one.
  impressions[20]->at.y -= 9;
  impressions[3].reset();
  const auto blocks = PlaceBlocks(plan, 0, 0, impressions);
  ASSERT_EQ(blocks.size(), 1u);
  EXPECT_EQ(blocks[0].impressions, 23);
  const auto sites = AllSites(plan.lattice);
  for (std::size_t i = 0; i < sites.size(); ++i) {
    const Pose place = Apply(blocks[0].move, IdealPose(plan.lattice, sites[i]));
    EXPECT_LT(Norm(place.at - truth[i]->at), 1e-6);
    EXPECT_NEAR(place.turn_rad, truth[i]->turn_rad, 1e-8);
  }
  EXPECT_NEAR(blocks[0].worst_left_mm, 15, 1e-6);
  EXPECT_EQ(blocks[0].worst, (Site{1, 1}));
}

TEST(PlaceBlocks, EachBlockOfSixSitesGoesItsOwnWay) {
  const Plan plan = RectanglePlan(4, 6);
  auto impressions = Moved(plan, {0, 0}, 0, {0, 0});
  const auto sites = AllSites(plan.lattice);
  for (std::size_t i = 0; i < sites.size(); ++i) impressions[i]->at.x += sites[i].column < 3 ? 0.5 : -0.5;
  const auto blocks = PlaceBlocks(plan, 2, 3, impressions);
  ASSERT_EQ(blocks.size(), 4u);
  EXPECT_NEAR(blocks[0].move.shift.x, 0.5, 1e-9);
  EXPECT_NEAR(blocks[1].move.shift.x, -0.5, 1e-9);
  for (const BlockMove& b : blocks) {
    EXPECT_EQ(b.sites.size(), 6u);
    EXPECT_NEAR(b.worst_left_mm, 0, 1e-9);
  }
  // One block for all cannot serve: half a millimetre stays everywhere.
  EXPECT_NEAR(PlaceBlocks(plan, 0, 0, impressions)[0].mean_left_mm, 0.5, 0.01);
}

TEST(FitRigidMove, TakesWhatFewPairsGive) {
  EXPECT_EQ(FitRigidMove({}, {}).shift, (Point{0, 0}));
  const Point from[] = {{10, 10}}, to[] = {{11, 12}};
  EXPECT_EQ(FitRigidMove(from, to).shift, (Point{1, 2}));
  EXPECT_EQ(FitRigidMove(from, to).turn_rad, 0);
}

}  // namespace
}  // namespace truepull::testing
