// SPDX-License-Identifier: Apache-2.0
// The truth that comes with a picture: places follow the options, states the ink.
#include <gtest/gtest.h>

#include <numbers>

#include "render/render_support.h"

namespace truepull {
namespace {

/// A plan of many small tiles, for statistics; the picture itself is tiny.
Plan ManyTiles(int rows, int columns) {
  Plan plan = SmallPlan();
  plan.sheet.width_mm = 40 + 10.0 * columns;
  plan.sheet.height_mm = 40 + 8.0 * rows;
  plan.plates[0].outline = {{-5, -4}, {5, -4}, {5, 4}, {-5, 4}};
  plan.lattice.origin = {25, 24};
  plan.lattice.across = {10, 0};
  plan.lattice.down = {0, 8};
  plan.lattice.rows = rows;
  plan.lattice.columns = columns;
  return plan;
}

RenderOptions TinyOptions() {
  RenderOptions options;
  options.width_px = 64;
  options.height_px = 48;
  return options;
}

TEST(RenderTruth, WithoutFaultsEveryPullLiesAtItsIdealPlace) {
  const Plan plan = SmallPlan();
  const RenderedSheet sheet = RenderSheet(plan, SmallOptions()).value();
  ASSERT_EQ(sheet.truth.size(), 6U);
  for (const TruthRow& row : sheet.truth) {
    const Pose ideal = IdealPose(plan.lattice, row.site);
    EXPECT_EQ(row.state, SiteState::kPrinted);
    EXPECT_NEAR(Norm(row.pose.at - ideal.at), 0, 1e-12);
    EXPECT_EQ(row.pose.turn_rad, ideal.turn_rad);
    EXPECT_EQ(row.coverage, 1);
    EXPECT_NEAR(row.deposit, 1, 1e-6);
    EXPECT_FALSE(row.ghost);
  }
}

TEST(RenderTruth, TheHandScattersAsWidelyAsItWasTold) {
  const Plan plan = ManyTiles(40, 50);
  RenderOptions options = TinyOptions();
  options.hand.sd_shift_mm = 0.8;
  options.hand.sd_turn_rad = RadFromDeg(0.7);
  options.hand.habit_shift_mm = {0.3, -0.2};
  const RenderedSheet sheet = RenderSheet(plan, options).value();
  double sx = 0, sy = 0, sxx = 0, syy = 0, sxy = 0, stt = 0;
  for (const TruthRow& row : sheet.truth) {
    const Point d = row.pose.at - IdealPose(plan.lattice, row.site).at;
    sx += d.x, sy += d.y, sxx += d.x * d.x, syy += d.y * d.y, sxy += d.x * d.y;
    stt += row.pose.turn_rad * row.pose.turn_rad;
  }
  const double n = static_cast<double>(sheet.truth.size());
  const double mx = sx / n, my = sy / n;
  // 2000 draws: the mean's sd is 0.018 mm, a spread's is 1.6 %; four of either.
  EXPECT_NEAR(mx, 0.3, 0.072);
  EXPECT_NEAR(my, -0.2, 0.072);
  EXPECT_NEAR(std::sqrt(sxx / n - mx * mx), 0.8, 0.8 * 0.064);
  EXPECT_NEAR(std::sqrt(syy / n - my * my), 0.8, 0.8 * 0.064);
  EXPECT_NEAR((sxy / n - mx * my) / 0.64, 0, 0.09);
  EXPECT_NEAR(DegFromRad(std::sqrt(stt / n)), 0.7, 0.7 * 0.064);
}

TEST(RenderTruth, SheetFaultsMoveTheLatticeAboutItsMiddle) {
  Plan plan = SmallPlan();
  plan.sheet.grain = Grain::kY;
  RenderOptions options = SmallOptions();
  options.sheet.shift_mm = {1, -2};
  options.sheet.turn_rad = RadFromDeg(90);  // Exact sines make the answer plain.
  options.sheet.stretch_along_percent = 1;   // Along the grain: y.
  options.sheet.stretch_across_percent = 2;
  const RenderedSheet sheet = RenderSheet(plan, options).value();
  // Middle of the reference points (60, 35). Site (0, 0) lies at (-40, -15) from it:
  // stretched (-40.8, -15.15), turned by 90 degrees (15.15, -40.8), shifted (1, -2).
  EXPECT_NEAR(sheet.truth[0].pose.at.x, 60 + 15.15 + 1, 1e-9);
  EXPECT_NEAR(sheet.truth[0].pose.at.y, 35 - 40.8 - 2, 1e-9);
  EXPECT_NEAR(sheet.truth[0].pose.turn_rad, std::numbers::pi / 2, 1e-12);
}

TEST(RenderTruth, CreepPilesUpFromSiteToSite) {
  RenderOptions options = SmallOptions();
  options.hand.creep_per_column_mm = 0.4;
  options.hand.creep_per_row_mm = -0.3;
  const Plan plan = SmallPlan();
  const RenderedSheet sheet = RenderSheet(plan, options).value();
  const Point d = sheet.truth[5].pose.at - IdealPose(plan.lattice, {1, 2}).at;
  EXPECT_NEAR(d.x, 0.8, 1e-12);
  EXPECT_NEAR(d.y, -0.3, 1e-12);
}

TEST(RenderTruth, NamedSitesAreMissingWeakGhostTurnedAndShifted) {
  RenderOptions options = SmallOptions();
  options.site_faults = {
      FaultAt({0, 1}, [](SiteFault& f) { f.missing = true; }),
      FaultAt({0, 2}, [](SiteFault& f) { f.weak = true; }),
      FaultAt({1, 0}, [](SiteFault& f) { f.ghost = true; }),
      FaultAt({1, 1}, [](SiteFault& f) { f.shift_mm = {2, 1}; f.turn_rad = std::numbers::pi; })};
  options.ink.mottle = 0.7;
  const Plan plan = SmallPlan();
  const RenderedSheet sheet = RenderSheet(plan, options).value();
  EXPECT_EQ(sheet.truth[0].state, SiteState::kPrinted);
  EXPECT_EQ(sheet.truth[1].state, SiteState::kMissing);
  EXPECT_EQ(sheet.truth[1].coverage, 0);
  EXPECT_EQ(sheet.truth[2].state, SiteState::kWeak);
  EXPECT_TRUE(sheet.truth[3].ghost);
  EXPECT_LT(sheet.truth[3].deposit, 0.6 * sheet.truth[0].deposit);
  EXPECT_NEAR(Norm(sheet.truth[4].pose.at - IdealPose(plan.lattice, {1, 1}).at), std::sqrt(5.0), 1e-9);
  EXPECT_NEAR(std::abs(sheet.truth[4].pose.turn_rad), std::numbers::pi, 1e-12);
  // The missing site's place is bare paper, as bright as the margin.
  EXPECT_NEAR(GreenAt(sheet, {80, 35}), GreenAt(sheet, {8, 8}), 1e-9);
}

TEST(RenderTruth, CoverageAgreesWithThePicture) {
  // Crayon on tooth: the share of pixels that are darker than a quarter of a full pull's
  // density, inside one tile, against the truth's coverage.
  Plan plan = SmallPlan();
  plan.colours = {"#204080"};
  RenderOptions options;
  options.width_px = 1500;
  options.height_px = 1000;
  options.ink.mottle = 0.9;
  const RenderedSheet sheet = RenderSheet(plan, options).value();
  const double paper = GreenAt(sheet, {8, 8});
  const double full = -std::log(Linear(0x40));
  for (const TruthRow& row : sheet.truth) {
    int inside = 0, covered = 0;
    for (int y = 0; y < sheet.bgr.rows; ++y) {
      for (int x = 0; x < sheet.bgr.cols; ++x) {
        const Point p = sheet.camera.SheetFromPhoto({1.0 * x, 1.0 * y}) - row.pose.at;
        if (p.x < 0 || p.x > 40 || p.y < 0 || p.y > 30) continue;
        ++inside;
        covered += -std::log(Linear(sheet.bgr.at<cv::Vec3b>(y, x)[1]) / paper) > 0.25 * full;
      }
    }
    // Pixels of 0.13 mm mix wax and paper at the finest flecks: 0.04 allowed.
    EXPECT_NEAR(static_cast<double>(covered) / inside, row.coverage, 0.04) << SiteLabel(row.site);
    EXPECT_GT(row.coverage, 0.6);
    EXPECT_LT(row.coverage, 0.995);
  }
}

TEST(RenderTruth, ThePlatesOwnDrawingIsScratchedWhereThePlanSays) {
  Plan plan = SmallPlan();
  plan.colours = {"#204080"};
  plan.plates[0].drawn = {{{{8, 22}, {30, 6}}, false}};
  RenderOptions options = SmallOptions();
  options.ink.motif = Motif::kGull;
  const RenderedSheet sheet = RenderSheet(plan, options).value();
  const double paper = GreenAt(sheet, {8, 8});
  for (const TruthRow& row : sheet.truth) {
    // On the line the paper shows; 4 mm beside it the ink lies.
    EXPECT_GT(GreenAt(sheet, row.pose.at + Point{19, 14}), 0.6 * paper) << SiteLabel(row.site);
    EXPECT_LT(GreenAt(sheet, row.pose.at + Point{21, 17}), 0.3 * paper) << SiteLabel(row.site);
  }
  // Without a motif nothing is scratched.
  options.ink.motif = Motif::kNone;
  EXPECT_LT(GreenAt(RenderSheet(plan, options).value(), sheet.truth[0].pose.at + Point{19, 14}), 0.3 * paper);
}

TEST(RenderTruth, ALaterPassLiesWhereItWasToldAndMultiplies) {
  const Plan plan = SmallPlan();
  RenderOptions options = SmallOptions();
  LaterPass pass;
  for (const Site site : AllSites(plan.lattice)) {
    Pose place = IdealPose(plan.lattice, site);
    place.at = place.at + Point{3, 2};
    pass.places.push_back(place);
  }
  pass.places[5] = std::nullopt;
  pass.colour = "#808080";
  options.later_passes = {pass};
  const RenderedSheet sheet = RenderSheet(plan, options).value();
  ASSERT_EQ(sheet.later_truth.at(0).size(), 6U);
  EXPECT_EQ(sheet.later_truth[0][5].state, SiteState::kMissing);
  EXPECT_EQ(sheet.later_truth[0][0].pose, *pass.places[0]);
  // Site A1 covers (20, 20)-(60, 50); its second pull (23, 22)-(63, 52).
  const double paper = GreenAt(sheet, {8, 8}), first = GreenAt(sheet, {21, 30});
  const double both = GreenAt(sheet, {40, 35});
  EXPECT_NEAR(both / first, Linear(0x80), 0.01);
  EXPECT_NEAR(first / paper, Linear(0x62), 0.01);
}

}  // namespace
}  // namespace truepull
