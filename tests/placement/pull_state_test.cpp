// SPDX-License-Identifier: Apache-2.0
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "support/sheets.h"
#include "truepull/placement.h"

namespace truepull::testing {
namespace {

using ::testing::HasSubstr;

Plan StretchingPlan(Grain grain) {
  Plan plan = RectanglePlan(2, 2);
  plan.sheet.grain = grain;
  plan.sheet.stretch_along_percent = 0.2;
  plan.sheet.stretch_across_percent = 1.4;
  return plan;
}

TEST(StateAtPull, GrowsADrySheetAcrossItsGrain) {
  // Grain along x: the height of 297 mm grows by 1.4 % to 301.158.
  const PullState s = StateAtPull(StretchingPlan(Grain::kX), SheetState::kDry, SheetState::kDamp);
  EXPECT_TRUE(s.known);
  EXPECT_NEAR(s.height_mm, 301.158, 1e-9);
  EXPECT_NEAR(s.width_mm, 420.84, 1e-9);
  const PullState y = StateAtPull(StretchingPlan(Grain::kY), SheetState::kDry, SheetState::kDamp);
  EXPECT_NEAR(y.width_mm, 425.88, 1e-9);
}

TEST(StateAtPull, ShrinksADampSheetBackToWhatItWas) {
  const Plan plan = StretchingPlan(Grain::kX);
  const PullState out = StateAtPull(plan, SheetState::kDry, SheetState::kDamp);
  const PullState back = StateAtPull(plan, SheetState::kDamp, SheetState::kDry);
  EXPECT_NEAR((1 + out.stretch_x) * (1 + back.stretch_x), 1, 1e-15);
  EXPECT_NEAR((1 + out.stretch_y) * (1 + back.stretch_y), 1, 1e-15);
}

TEST(StateAtPull, SaysWhatIsNotKnownAndLeavesTheSizeAlone) {
  Plan plan = StretchingPlan(Grain::kUnknown);
  const auto why = [&](SheetState a, SheetState b) {
    const PullState s = StateAtPull(plan, a, b);
    EXPECT_FALSE(s.known);
    EXPECT_EQ(s.width_mm, 420);
    return s.why_not_known;
  };
  EXPECT_THAT(why(SheetState::kDry, SheetState::kDamp), HasSubstr("which way the grain runs"));
  EXPECT_THAT(why(SheetState::kUnknown, SheetState::kDamp), HasSubstr("in the photo"));
  EXPECT_THAT(why(SheetState::kDry, SheetState::kUnknown), HasSubstr("at the pull"));
  plan.sheet.stretch_along_percent.reset();
  EXPECT_THAT(why(SheetState::kDry, SheetState::kDamp), HasSubstr("how much this paper grows"));
  EXPECT_TRUE(StateAtPull(plan, SheetState::kDamp, SheetState::kDamp).known);
}

TEST(AtThePull, CarriesTheMiddlesWithTheSheetAndKeepsThePlate) {
  const Plan plan = StretchingPlan(Grain::kX);
  const PullState s = StateAtPull(plan, SheetState::kDry, SheetState::kDamp);
  auto placements = PlaceFirstPass(plan);
  placements[3].place.at = placements[3].place.at + Point{1, 2};
  placements[3].place.turn_rad = 0.02;
  const auto moved = AtThePull(plan, placements, s);
  // Site (1, 1) unmoved: corner at (90, 69), middle at (120, 91.5). Along x 0.2 %,
  // along y 1.4 %: middle at (120.24, 92.781), corner 30 and 22.5 before it.
  const Placement p = AtThePull(plan, PlaceFirstPass(plan), s)[3];
  EXPECT_NEAR(p.place.at.x, 90.24, 1e-9);
  EXPECT_NEAR(p.place.at.y, 70.281, 1e-9);
  EXPECT_NEAR(Norm(p.from_ideal), 0, 1e-12);
  // The middle of a moved and turned one goes with the sheet too.
  const Point middle{30, 22.5};
  const Point before = Apply(placements[3].place, middle), after = Apply(moved[3].place, middle);
  EXPECT_NEAR(after.x, before.x * 1.002, 1e-9);
  EXPECT_NEAR(after.y, before.y * 1.014, 1e-9);
  EXPECT_EQ(moved[3].place.turn_rad, 0.02);
}

TEST(AtThePull, ChangesNothingWhereTheStateIsNotKnown) {
  const Plan plan = RectanglePlan(2, 3);
  const auto placements = PlaceFirstPass(plan);
  const auto same = AtThePull(plan, placements, StateAtPull(plan, SheetState::kUnknown, SheetState::kUnknown));
  for (std::size_t i = 0; i < same.size(); ++i) EXPECT_NEAR(Norm(same[i].place.at - placements[i].place.at), 0, 1e-12);
}

}  // namespace
}  // namespace truepull::testing
