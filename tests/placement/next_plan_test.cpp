// SPDX-License-Identifier: Apache-2.0
// Half-printed sheets, paper, blocks and runs.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <numbers>
#include <random>

#include "support/sheets.h"
#include "truepull/placement.h"
#include "truepull/run_setting.h"

namespace truepull::testing {
namespace {

using ::testing::HasSubstr;

// The bell rang at pull 14 of 24; every step to the right crept by 0.6 mm.
TEST(Finish, TheRestStopsCreeping) {
  Reading reading = IdealReading(RectanglePlan(4, 6));
  for (std::size_t i = 0; i < reading.sheet.sites.size(); ++i) {
    SiteReading& s = reading.sheet.sites[i];
    s.found.at.x += 0.6 * s.site.column;
    if (i < 14) continue;
    const Site site = s.site;
    s = SiteReading();
    s.site = site;
  }
  NextPassRequest request;
  request.finish = true;
  const NextPass next = PlanNextPass(reading, {}, request);
  for (std::size_t i = 0; i < 24; ++i) {
    const Placement& p = next.placements[i];
    EXPECT_EQ(p.action, i < 14 ? Action::kLeave : Action::kPull) << i;
    if (i < 14) {
      EXPECT_EQ(p.place, reading.sheet.sites[i].found);
    } else {
      EXPECT_THAT(p.reason, HasSubstr("not yet printed"));
    }
  }
  // C3 to C6 and the last row: steps of the tile's own width, to 0.1 mm where 0.6 had crept in.
  for (std::size_t i = 14; i < 24; ++i) {
    if (next.placements[i].site.column == 0) continue;
    const double step = next.placements[i].place.at.x - next.placements[i - 1].place.at.x;
    EXPECT_NEAR(step, 60, 0.1) << SiteLabel(next.placements[i].site);
  }
  // Between printed ones the gap stays; every seam of the rest is well within a trap of 0.5 mm.
  for (const SeamOutlook& s : next.seams) {
    const bool printed = s.b.row * 6 + s.b.column < 14;
    ASSERT_TRUE(s.chosen);
    if (printed && s.a.row == s.b.row) {
      EXPECT_NEAR(s.chosen->mean_mm, 0.6, 1e-9);
    }
    if (!printed) {
      EXPECT_LT(std::abs(s.chosen->worst_mm), 0.15) << SiteLabel(s.a) << SiteLabel(s.b);
    }
  }
}

TickMeasure ByGrain(std::optional<double> along, std::optional<double> across) {
  TickMeasure t;
  t.along_grain = along, t.across_grain = across;
  return t;
}
TickMeasure ByPage(double x, double y, double before) {
  TickMeasure t;
  t.x = x, t.y = y, t.before_mm = before;
  return t;
}

TEST(StateFromTicks, IsWhatTheTicksSay) {
  Plan plan = RectanglePlan(2, 2);
  plan.sheet.grain = Grain::kX;
  const auto state = StateFromTicks(plan, SheetState::kDry, SheetState::kDamp, ByGrain(200.3, 202.6));
  ASSERT_TRUE(state);
  EXPECT_TRUE(state->known && state->measured);
  EXPECT_NEAR(state->stretch_x, 0.0015, 1e-12);
  EXPECT_NEAR(state->stretch_y, 0.013, 1e-12);
  EXPECT_NEAR(state->height_mm, 297 * 1.013, 1e-9);
  EXPECT_NEAR(StateFromTicks(plan, {}, {}, ByPage(151.5, 150, 150))->stretch_x, 0.01, 1e-12);
}

TEST(StateFromTicks, RefusesWhatCannotBeInPlainWords) {
  Plan plan = RectanglePlan(2, 2);
  const auto said = [&](const TickMeasure& t) { return StateFromTicks(plan, {}, {}, t).error().message; };
  EXPECT_THAT(said(ByGrain(200.3, 202.6)), HasSubstr("does not say which way the grain runs"));
  plan.sheet.grain = Grain::kY;
  EXPECT_THAT(said(ByGrain(200.3, 218)),
              HasSubstr("across=218: 218 mm where 200 mm were would be 9 % of stretch; paper does not grow by more than 5 %"));
  EXPECT_THAT(said(ByGrain({}, 202)), HasSubstr("both ways are needed"));
  TickMeasure both = ByGrain(200, 201);
  both.x = 200;
  EXPECT_THAT(said(both), HasSubstr("either along and across, or x and y"));
}

TEST(Blocks, APassOfBlocksGoesAsOnePieceAndNamesWhatItCannotServe) {
  Reading reading = IdealReading(RectanglePlan(3, 4));
  for (SiteReading& s : reading.sheet.sites) s.found.at = s.found.at + Point{0.8, -0.3};
  reading.sheet.sites[6].found.at.y += 2.5;
  NextPassRequest request;
  request.blocks = true;
  const NextPass next = PlanNextPass(reading, {}, request);
  ASSERT_EQ(next.blocks.size(), 1u);
  for (const Placement& p : next.placements) {
    EXPECT_NEAR(p.from_ideal.x, 0.8, 1e-6);
    EXPECT_NEAR(p.from_ideal.y, -0.3, 1e-6);
  }
  ASSERT_EQ(next.unmet.size(), 1u);
  EXPECT_EQ(next.unmet[0], "B3: 2.5 mm off its impression, more than the tolerance: one block cannot serve it");
}

TEST(SetForRun, FindsTheCommonMoveAndTheOddSheet) {
  const Plan plan = RectanglePlan(3, 4);
  std::mt19937_64 random(3);
  std::vector<RunSheet> sheets;
  for (int i = 0; i < 7; ++i) {
    SheetReading reading = ReadingAtIdeal(plan);
    Scatter(reading, 0.2, 0.002, random);
    RunSheet sheet;
    sheet.name = "sheet-" + std::to_string(i + 1);
    sheet.group = i < 4 ? "dry" : "damp";
    for (const SiteReading& s : reading.sites) {
      sheet.impressions.emplace_back(Pose{s.found.at + Point{1.2 + (i == 5 ? 4 : 0), -0.4}, s.found.turn_rad});
    }
    sheets.push_back(sheet);
  }
  const RunSetting run = SetForRun(plan, sheets);
  EXPECT_NEAR(run.common.shift.x, 1.2, 0.1);   // The sixth, 4 mm off, does not draw it.
  EXPECT_NEAR(run.common.shift.y, -0.4, 0.1);
  EXPECT_NEAR(run.common.turn_rad, 0, 0.001);
  for (int i = 0; i < 7; ++i) EXPECT_EQ(run.shims[static_cast<std::size_t>(i)].needs_own, i == 5) << i;
  EXPECT_NEAR(run.shims[5].shim.x, 4, 0.15);
  EXPECT_EQ(run.groups.size(), 2u);
}

TEST(Weak, IsSaidInWords) {
  Reading reading = IdealReading(RectanglePlan(1, 3));
  for (SiteReading& s : reading.sheet.sites) s.state = SiteState::kWeak;
  reading.sheet.sites[0].coverage = 0.95, reading.sheet.sites[0].strength = 0.35;
  reading.sheet.sites[1].coverage = 0.4, reading.sheet.sites[1].strength = 0.8;
  reading.sheet.sites[2].coverage = 0.4, reading.sheet.sites[2].strength = 0.3;
  const auto p = PlanNextPass(reading, {}, {}).placements;
  EXPECT_EQ(p[0].reason, "ghost, complete but pale: 35 % of a full pull");
  EXPECT_EQ(p[1].reason, "patchy: colour on 40 % of what should print");
  EXPECT_EQ(p[2].reason, "pale: 30 % of a full pull, and patchy: colour on 40 % of what should print");
}

// A tile that was put down upside down and kept is printed over as it lies.
TEST(KeptTurned, IsPlacedTurned) {
  Reading reading = IdealReading(RectanglePlan(3, 3));
  Pose& turned = reading.sheet.sites[4].found;
  turned = {turned.at + Point{60.2, 45.1}, std::numbers::pi};
  for (const double favour : {0.0, 0.5, 1.0}) {
    NextPassRequest request;
    request.favour = favour;
    const Placement p = PlanNextPass(reading, {}, request).placements[4];
    EXPECT_NEAR(std::abs(p.place.turn_rad), std::numbers::pi, 0.01) << favour;
    EXPECT_NEAR(*p.register_mm, 0, 0.3) << favour;
  }
}

}  // namespace
}  // namespace truepull::testing
