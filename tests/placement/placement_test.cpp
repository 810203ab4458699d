// SPDX-License-Identifier: Apache-2.0
#include "truepull/placement.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <random>

#include "support/sheets.h"

namespace truepull::testing {
namespace {

SiteReading& At(Reading& reading, int row, int column) {
  return reading.sheet.sites[static_cast<std::size_t>(row * reading.plan.lattice.columns + column)];
}

const Placement& At(const std::vector<Placement>& placements, const Plan& plan, int row, int column) {
  return placements[static_cast<std::size_t>(row * plan.lattice.columns + column)];
}

// Moves every site as one piece of card: turned about a point, then shifted.
void MoveAsOne(Reading& reading, Point about, double turn_rad, Point shift) {
  for (SiteReading& s : reading.sheet.sites) {
    s.found.at = about + Rotation(turn_rad) * (s.found.at - about) + shift;
    s.found.turn_rad += turn_rad;
  }
}

TEST(PlaceNextPass, PutsThePlateOnWhatWasFound) {
  Reading reading = IdealReading(RectanglePlan(3, 4));
  At(reading, 1, 2).found = {{151.4, 68.2}, 0.02};  // Ideal: 150, 69.
  At(reading, 2, 0).state = SiteState::kWeak;
  const auto placements = PlaceNextPass(reading, {});
  ASSERT_EQ(placements.size(), 12u);
  const Placement& p = At(placements, reading.plan, 1, 2);
  EXPECT_EQ(p.action, Action::kPull);
  EXPECT_EQ(p.place, (Pose{{151.4, 68.2}, 0.02}));
  EXPECT_NEAR(p.from_ideal.x, 1.4, 1e-12);
  EXPECT_NEAR(p.from_ideal.y, -0.8, 1e-12);
  EXPECT_NEAR(p.from_ideal_turn_rad, 0.02, 1e-12);
  const Placement& weak = At(placements, reading.plan, 2, 0);
  EXPECT_EQ(weak.action, Action::kStrengthen);
  EXPECT_EQ(weak.place, At(reading, 2, 0).found);
}

TEST(PlaceNextPass, LetsAMissingTileMoveWithASheetThatMovedAsOne) {
  for (const Site missing : {Site{0, 0}, Site{1, 2}, Site{2, 3}}) {
    Reading reading = IdealReading(RectanglePlan(3, 4));
    MoveAsOne(reading, {200, 150}, 0.03, {2.5, -1.5});
    const Pose truth = At(reading, missing.row, missing.column).found;
    At(reading, missing.row, missing.column) = SiteReading{};
    At(reading, missing.row, missing.column).site = missing;
    const Placement p = At(PlaceNextPass(reading, {}), reading.plan, missing.row, missing.column);
    EXPECT_EQ(p.action, Action::kLook);
    EXPECT_NEAR(Norm(p.place.at - truth.at), 0, 1e-6) << SiteLabel(missing);
    EXPECT_NEAR(p.place.turn_rad, truth.turn_rad, 1e-8) << SiteLabel(missing);
  }
}

TEST(PlaceNextPass, FollowsTheNeighboursWhereTheyLeaveTheSheet) {
  // The four neighbours of site (2, 2) lie 1.2 mm right and 0.6 mm up of a sheet that is
  // else true: the missing tile must close its seams with them, not lie where the sheet
  // says. The hand's spread holds it back by a few per cent only.
  Reading reading = IdealReading(RectanglePlan(5, 6));
  std::mt19937_64 random(7);
  Scatter(reading.sheet, 0.15, 0.002, random);
  for (const Site s : {Site{1, 2}, Site{3, 2}, Site{2, 1}, Site{2, 3}}) {
    At(reading, s.row, s.column).found = IdealPose(reading.plan.lattice, s);
    At(reading, s.row, s.column).found.at = At(reading, s.row, s.column).found.at + Point{1.2, -0.6};
  }
  At(reading, 2, 2).state = SiteState::kMissing;
  const Placement p = At(PlaceNextPass(reading, {}), reading.plan, 2, 2);
  EXPECT_NEAR(p.from_ideal.x, 1.2, 0.2);
  EXPECT_NEAR(p.from_ideal.y, -0.6, 0.12);
  EXPECT_NEAR(DegFromRad(p.from_ideal_turn_rad), 0, 0.2);
}

TEST(PlaceNextPass, TrustsTheNeighbourThatIsKnownBetter) {
  // One neighbour each side; the left one lies 1 mm right and is sure to 0.03 mm, the
  // right one lies true but is known to 1 mm only.
  Reading reading = IdealReading(RectanglePlan(1, 3));
  At(reading, 0, 0).found.at.x += 1;
  At(reading, 0, 2).covariance = DiagonalCovariance(1, 1, 0.0005);
  At(reading, 0, 1).state = SiteState::kMissing;
  const Placement p = At(PlaceNextPass(reading, {}), reading.plan, 0, 1);
  EXPECT_GT(p.from_ideal.x, 0.7);
  EXPECT_LT(p.from_ideal.x, 1.05);
}

TEST(PlaceNextPass, PutsAnEmptySheetAtItsIdealAllForALook) {
  Reading reading = IdealReading(RectanglePlan(2, 2));
  for (SiteReading& s : reading.sheet.sites) s.state = SiteState::kMissing;
  for (const Placement& p : PlaceNextPass(reading, {})) {
    EXPECT_EQ(p.action, Action::kLook);
    EXPECT_EQ(p.place, IdealPose(reading.plan.lattice, p.site));
  }
}

TEST(Corrections, SayWhatThePrinterSees) {
  Reading reading = IdealReading(RectanglePlan(3, 3));
  At(reading, 2, 2).state = SiteState::kMissing;
  std::vector<Correction> words(5);
  words[0].site = {0, 0}, words[0].state = SiteState::kWeak;
  words[1].site = {0, 1}, words[1].nudge_mm = {0.4, -0.2}, words[1].nudge_turn_rad = 0.01;
  words[2].site = {0, 2}, words[2].not_a_pull = true, words[2].reason = "a water stain";
  words[3].site = {1, 0}, words[3].action = Action::kLeave;
  words[4].site = {2, 2}, words[4].state = SiteState::kPrinted;
  const auto placements = PlaceNextPass(reading, words);
  const auto& plan = reading.plan;
  EXPECT_EQ(At(placements, plan, 0, 0).action, Action::kStrengthen);
  EXPECT_NEAR(At(placements, plan, 0, 1).from_ideal.x, 0.4, 1e-12);
  EXPECT_NEAR(At(placements, plan, 0, 1).from_ideal.y, -0.2, 1e-12);
  EXPECT_NEAR(At(placements, plan, 0, 1).from_ideal_turn_rad, 0.01, 1e-12);
  EXPECT_EQ(At(placements, plan, 0, 2).action, Action::kLook);
  EXPECT_EQ(At(placements, plan, 0, 2).reason, "a water stain");
  EXPECT_EQ(At(placements, plan, 1, 0).action, Action::kLeave);
  // Seen by the printer, not by the photo: pulled where its neighbours say.
  EXPECT_EQ(At(placements, plan, 2, 2).action, Action::kPull);
  EXPECT_LT(Norm(At(placements, plan, 2, 2).from_ideal), 0.05);
  EXPECT_TRUE(At(placements, plan, 1, 0).corrected);
  EXPECT_FALSE(At(placements, plan, 1, 1).corrected);
}

TEST(Corrections, AStainThatIsNoPullDoesNotDragItsPlace) {
  Reading reading = IdealReading(RectanglePlan(3, 3));
  At(reading, 1, 1).found.at.x += 9;
  std::vector<Correction> words(1);
  words[0].site = {1, 1}, words[0].not_a_pull = true;
  EXPECT_LT(Norm(At(PlaceNextPass(reading, words), reading.plan, 1, 1).from_ideal), 0.05);
}

TEST(NeedsALook, NamesWhyUntilItIsAccepted) {
  const Plan plan = RectanglePlan(1, 1);
  SiteDrift drift;
  drift.state = SiteState::kMissing;
  EXPECT_EQ(NeedsALook(plan, drift, {}), "no impression found");
  drift.state = SiteState::kWeak;
  EXPECT_EQ(NeedsALook(plan, drift, {}), "weak impression");
  drift.state = SiteState::kPrinted;
  EXPECT_EQ(NeedsALook(plan, drift, {}), "");
  drift.beyond_tolerance = true;
  drift.shift = {1.5, 2};
  drift.turn_rad = RadFromDeg(-0.5);
  EXPECT_EQ(NeedsALook(plan, drift, {}),
            "2.5 mm and 0.5 degrees from its ideal place (tolerance 1 mm, 1 degree)");
  std::vector<Correction> words(1);
  words[0].accepted = true;
  EXPECT_EQ(NeedsALook(plan, drift, words), "");
  words[0].accepted = false;
  words[0].action = Action::kPull;
  EXPECT_EQ(NeedsALook(plan, drift, words), "");
  words[0].action = Action::kLook;
  words[0].reason = "smudged?";
  EXPECT_EQ(NeedsALook(plan, drift, words), "smudged?");
}

}  // namespace
}  // namespace truepull::testing
