// SPDX-License-Identifier: Apache-2.0
// What reductions and glazes may print, and plates that are turned on alternate sites.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <numbers>
#include <random>

#include "support/sheets.h"
#include "truepull/pass_rules.h"

namespace truepull::testing {
namespace {

using ::testing::HasSubstr;

Pass PassOf(std::string name, PassKind kind, Outline outline = {}) {
  Pass p;
  p.name = std::move(name), p.kind = kind, p.outline = std::move(outline);
  return p;
}

TEST(ReachesOutside, IsHowFarAnOutlineGoesBeyondAnother) {
  const Outline outer{{0, 0}, {60, 0}, {60, 45}, {0, 45}};
  EXPECT_NEAR(ReachesOutside(outer, outer), 0, 1e-9);
  EXPECT_EQ(ReachesOutside(Outline{{10, 10}, {50, 10}, {30, 40}}, outer), 0);
  EXPECT_NEAR(ReachesOutside(Outline{{10, 10}, {62.5, 10}, {30, 40}}, outer), 2.5, 1e-9);
  // A corner cut away: the edge from (55, 15) to (15, 40), y = 15 + 0.625 (55 - x), runs outside an L whose inner corner
  // is (20, 20); furthest, where it is as far from both arms: x = y = 30.38.
  const Outline l{{0, 0}, {60, 0}, {60, 20}, {20, 20}, {20, 45}, {0, 45}};
  EXPECT_NEAR(ReachesOutside(Outline{{5, 5}, {55, 15}, {15, 40}}, l), 10.38, 0.3);
}

TEST(Reduction, PrintsOnlyWhereTheBlockHasNotBeenCut) {
  Plan plan = RectanglePlan(2, 3);
  const Outline second{{5, 5}, {55, 5}, {55, 40}, {5, 40}}, third{{10, 2}, {50, 10}, {50, 35}, {10, 35}};
  plan.passes = {PassOf("middle", PassKind::kReduction, second), PassOf("dark", PassKind::kReduction, third)};
  NextPass next = PlanNextPass(IdealReading(plan), {}, {});
  EXPECT_TRUE(ApplyPassRules(plan, plan.passes[0], next).findings.empty());
  // The third reaches 3 mm above what the second left of the block.
  const PassRules rules = ApplyPassRules(plan, plan.passes[1], next);
  ASSERT_EQ(rules.findings.size(), 1u);
  EXPECT_THAT(rules.findings[0], HasSubstr("pass dark is a reduction, but its outline reaches 3.0 mm beyond that of middle"));
}

TEST(Reduction, NamesWhatCanBeMendedOnlyBeforeTheBlockIsCut) {
  Plan plan = RectanglePlan(2, 3);
  plan.passes = {PassOf("dark", PassKind::kReduction)};
  Reading reading = IdealReading(plan);
  reading.sheet.sites[1].state = SiteState::kMissing;
  reading.sheet.sites[2].state = SiteState::kMissing;
  reading.sheet.sites[4].state = SiteState::kWeak;
  Correction left;
  left.site = reading.sheet.sites[2].site, left.action = Action::kLeave;
  NextPass next = PlanNextPass(reading, {left}, {});
  const PassRules rules = ApplyPassRules(plan, plan.passes[0], next);
  ASSERT_EQ(rules.findings.size(), 1u);
  EXPECT_EQ(rules.findings[0], "before you cut the block for dark: pull A2, strengthen B2; once it is cut, the colour beneath can no longer be printed");
  EXPECT_THAT(next.placements[1].reason, HasSubstr("only before the block is cut for dark"));
  EXPECT_THAT(next.placements[4].reason, HasSubstr("only before the block is cut for dark"));
  EXPECT_EQ(next.placements[2].action, Action::kLeave);  // The printer's word stands.
}

TEST(Glaze, IsTransparentAndShowsOverlapsAndBarePaper) {
  Plan plan = RectanglePlan(2, 3);
  plan.passes = {PassOf("veil", PassKind::kGlaze)};
  plan.passes[0].opacity = Opacity::kOpaque;
  Reading reading = IdealReading(plan);
  reading.sheet.sites[0].state = SiteState::kMissing;
  reading.sheet.sites[5].found.at.x -= 1.4;  // B3 over B2.
  NextPass next = PlanNextPass(reading, {}, {});
  PassRules rules = ApplyPassRules(plan, plan.passes[0], next);
  ASSERT_EQ(rules.findings.size(), 2u);
  EXPECT_THAT(rules.findings[0], HasSubstr("pass veil is a glaze, but its colour is opaque"));
  EXPECT_EQ(rules.findings[1], "the glaze would lie on bare paper at A1");
  ASSERT_EQ(rules.notes.size(), 1u);
  EXPECT_THAT(rules.notes[0], HasSubstr("1 of 7 seams will, the widest 1.4 mm between B2 and B3"));
  plan.passes[0].opacity = Opacity::kTransparent;
  reading.sheet = ReadingAtIdeal(plan);
  next = PlanNextPass(reading, {}, {});
  rules = ApplyPassRules(plan, plan.passes[0], next);
  EXPECT_TRUE(rules.findings.empty() && rules.notes.empty());
}

// Every other plate upside down, its reference point at a corner: [0, 180] over three columns.
Plan TurnedPlan() {
  Plan plan = RectanglePlan(3, 4);
  plan.lattice.turns_rad = {0, std::numbers::pi};
  return plan;
}

// A turned rectangle covers the cell to the upper left of its reference point: the plan's step makes them
// overlap unless the reference point is the middle.
Plan TurnedAboutTheMiddle() {
  Plan plan = TurnedPlan();
  plan.plates[0].outline = {{-30, -22.5}, {30, -22.5}, {30, 22.5}, {-30, 22.5}};
  plan.lattice.origin = {60, 50};
  return plan;
}

TEST(TurnedPlates, LieOnTheirImpressionsAndFitAsThePlanTurnsThem) {
  {
    const Plan plan = TurnedAboutTheMiddle();
    Reading reading = IdealReading(plan);
    std::mt19937_64 random(7);
    Scatter(reading.sheet, 0.6, 0.008, random);
    const NextPass on = PlanNextPass(reading, {}, {});
    NextPassRequest wanted;
    wanted.favour = 1;
    const NextPass fit = PlanNextPass(reading, {}, wanted);
    for (std::size_t i = 0; i < on.placements.size(); ++i) {
      EXPECT_EQ(on.placements[i].place, reading.sheet.sites[i].found);
      // Fit is the lattice in one piece: the planned turns differ by the piece's turn alone.
      const double turn = WrapTurn(fit.placements[i].place.turn_rad - IdealPose(plan.lattice, reading.sheet.sites[i].site).turn_rad);
      EXPECT_NEAR(turn, WrapTurn(fit.placements[0].place.turn_rad), 1e-6) << i;
    }
    for (const SeamOutlook& s : fit.seams) {
      ASSERT_TRUE(s.chosen.has_value());
      EXPECT_NEAR(s.chosen->mean_mm, 0, 1e-6);
    }
  }
}

// Impressions on a turned plate that grows with the sheet: middles move, whichever way round the plate lies.
TEST(TurnedPlates, GoByTheirMiddlesOnADampSheet) {
  Plan plan = TurnedPlan();
  plan.plates[0].outline = {{-10, -5}, {50, -5}, {50, 40}, {-10, 40}};  // Middle at (20, 17.5) in the tile.
  plan.lattice.origin = {80, 60};
  plan.sheet.grain = Grain::kY;
  plan.sheet.stretch_along_percent = 0.2, plan.sheet.stretch_across_percent = 1.4;
  const Reading reading = IdealReading(plan);
  NextPassRequest request;
  request.state = StateAtPull(plan, SheetState::kDry, SheetState::kDamp);
  for (const Placement& p : PlanNextPass(reading, {}, request).placements) {
    const Pose ideal = IdealPose(plan.lattice, p.site);
    const Point before = Apply(ideal, {20, 17.5}), now = Apply(p.place, {20, 17.5});
    EXPECT_NEAR(now.x, before.x * 1.014, 1e-9);
    EXPECT_NEAR(now.y, before.y * 1.002, 1e-9);
    EXPECT_EQ(p.place.turn_rad, ideal.turn_rad);
  }
}

TEST(KeepTurned, GoesToTheIdealOverTheSameMiddleAsItLies) {
  Reading reading = IdealReading(RectanglePlan(3, 3));
  Pose& turned = reading.sheet.sites[4].found;
  const Point corner{turned.at.x + 60, turned.at.y + 45};
  turned = {corner + Point{0.6, -0.4}, std::numbers::pi};
  Correction kept;
  kept.site = reading.sheet.sites[4].site, kept.keep_turned = kept.accepted = true;
  NextPassRequest request;
  request.lattice = true;
  const Placement unsaid = PlanNextPass(reading, {}, request).placements[4];
  EXPECT_EQ(unsaid.place, IdealPose(reading.plan.lattice, kept.site));
  const Placement p = PlanNextPass(reading, {kept}, request).placements[4];
  EXPECT_NEAR(std::abs(p.place.turn_rad), std::numbers::pi, 1e-9);
  EXPECT_NEAR(Norm(p.place.at - corner), 0, 1e-9);
  EXPECT_EQ(p.reason, "kept turned, as it lies");
  // A block prints it the plan's way round, and that is said.
  request = {};
  request.blocks = true;
  const NextPass block = PlanNextPass(reading, {kept}, request);
  ASSERT_EQ(block.unmet.size(), 1u);
  EXPECT_THAT(block.unmet[0], HasSubstr("B2: "));
}

}  // namespace
}  // namespace truepull::testing
