// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <cmath>

#include "drift/sheet_part.h"
#include "support/sheets.h"
#include "truepull/drift.h"

namespace truepull {
namespace {

using testing::ReadingAtIdeal;
using testing::RectanglePlan;
using testing::Scatter;

// Lays the sheet's own part onto a reading: places move, tiles turn along.
void Move(const Plan& plan, const SheetPart& part, SheetReading& reading) {
  for (SiteReading& r : reading.sites) {
    const Pose ideal = IdealPose(plan.lattice, r.site);
    r.found = {ApplySheetPart(part, ideal.at), WrapTurn(ideal.turn_rad + part.turn_rad)};
  }
}

SheetPart KnownPart(const Plan& plan) {
  SheetPart part;
  part.centre = LatticeCentre(plan.lattice);
  part.shift = {0.8, -0.35};
  part.turn_rad = RadFromDeg(0.3);
  part.stretch_x = 0.002;
  part.stretch_y = 0.011;
  part.shear = -0.001;
  return part;
}

TEST(MeasureDrift, RecoversAWholeSheetMoveExactly) {
  const Plan plan = RectanglePlan(5, 6);
  SheetReading reading = ReadingAtIdeal(plan);
  const SheetPart truth = KnownPart(plan);
  Move(plan, truth, reading);
  const DriftReport report = MeasureDrift(plan, reading);
  ASSERT_TRUE(report.sheet_part);
  EXPECT_NEAR(report.sheet_part->shift.x, truth.shift.x, 1e-8);
  EXPECT_NEAR(report.sheet_part->shift.y, truth.shift.y, 1e-8);
  EXPECT_NEAR(report.sheet_part->turn_rad, truth.turn_rad, 1e-10);
  EXPECT_NEAR(report.sheet_part->stretch_x, truth.stretch_x, 1e-10);
  EXPECT_NEAR(report.sheet_part->stretch_y, truth.stretch_y, 1e-10);
  EXPECT_NEAR(report.sheet_part->shear, truth.shear, 1e-10);
  EXPECT_LT(report.hand_sd_mm, 1e-6);
  for (const SiteDrift& d : report.sites) {
    EXPECT_LT(Norm(d.hand_shift), 1e-7);
    EXPECT_LT(std::abs(d.hand_turn_rad), 1e-9);
  }
}

TEST(MeasureDrift, WorksTheExampleOnPaper) {
  // Two by two sites, the right column found 0.6 mm too far right: the middle moves by
  // 0.3, and over a step of 60 mm that is a stretch of 0.6 / 60 = 1 % along x.
  const Plan plan = RectanglePlan(2, 2);
  SheetReading reading = ReadingAtIdeal(plan);
  for (SiteReading& r : reading.sites) r.found.at.x += r.site.column == 1 ? 0.6 : 0.0;
  const DriftReport report = MeasureDrift(plan, reading);
  EXPECT_NEAR(report.sheet_part->shift.x, 0.3, 1e-7);
  EXPECT_NEAR(report.sheet_part->stretch_x, 0.01, 1e-9);
  EXPECT_NEAR(report.sheet_part->stretch_y, 0, 1e-9);
  EXPECT_NEAR(report.sheet_part->turn_rad, 0, 1e-9);
  EXPECT_EQ(report.worst->column, 1);
}

TEST(MeasureDrift, CallsATwoPerCentStretchStretchAndNoSiteOut) {
  Plan plan = RectanglePlan(5, 6);
  SheetReading reading = ReadingAtIdeal(plan);
  SheetPart part;
  part.centre = LatticeCentre(plan.lattice);
  part.stretch_y = 0.02;
  Move(plan, part, reading);
  std::mt19937_64 random(7);
  Scatter(reading, 0, 0, random);
  const DriftReport report = MeasureDrift(plan, reading);
  EXPECT_NEAR(report.sheet_part->stretch_y, 0.02, 4 * report.sheet_part->sd_stretch_y);
  EXPECT_LT(report.sheet_part->sd_stretch_y, 0.0002);
  EXPECT_GT(report.beyond, 0);  // The far rows do lie 1.8 mm off the plan ...
  EXPECT_EQ(report.beyond_hand, 0);  // ... but no hand put them there.
  EXPECT_LT(report.hand_sd_mm, 0.02);
}

TEST(MeasureDrift, OneWildSiteDoesNotBendTheSheet) {
  const Plan plan = RectanglePlan(5, 6);
  std::mt19937_64 random(11);
  SheetReading reading = ReadingAtIdeal(plan);
  Scatter(reading, 0.3, 0.004, random);
  const DriftReport calm = MeasureDrift(plan, reading);
  reading.sites.back().found.at = reading.sites.back().found.at + Point{14, -17};
  reading.sites.back().found.turn_rad += 3.1;
  const DriftReport wild = MeasureDrift(plan, reading);
  EXPECT_LT(Norm(wild.sheet_part->shift - calm.sheet_part->shift), 0.06);
  EXPECT_LT(std::abs(wild.sheet_part->turn_rad - calm.sheet_part->turn_rad), 0.001);
  EXPECT_NEAR(wild.hand_sd_mm, calm.hand_sd_mm, 0.06);
  EXPECT_NEAR(wild.hand_sd_turn_rad, calm.hand_sd_turn_rad, 0.001);
  EXPECT_EQ(*wild.worst, (Site{4, 5}));
  EXPECT_EQ(wild.beyond_hand, calm.beyond_hand + 1);
}

TEST(MeasureDrift, SaysOnlyWhatTheSitesCanTell) {
  const Plan plan = RectanglePlan(5, 6);
  const auto with = [&](const std::vector<Site>& kept) {
    SheetReading reading = ReadingAtIdeal(plan);
    Move(plan, KnownPart(plan), reading);
    for (SiteReading& r : reading.sites) {
      if (std::find(kept.begin(), kept.end(), r.site) == kept.end()) r.state = SiteState::kMissing;
    }
    return MeasureDrift(plan, reading);
  };
  EXPECT_FALSE(with({}).sheet_part);
  const DriftReport one = with({{2, 3}});
  EXPECT_FALSE(one.sheet_part->has_turn || one.sheet_part->has_stretch_x || one.has_hand_sd);
  EXPECT_GT(one.sheet_part->sd_shift_x_mm, 0.4);  // One hand's pull says little of a sheet.
  const DriftReport row = with({{1, 0}, {1, 2}, {1, 3}, {1, 5}});
  EXPECT_TRUE(row.sheet_part->has_turn && row.sheet_part->has_stretch_x);
  EXPECT_FALSE(row.sheet_part->has_stretch_y || row.sheet_part->has_shear);
  const DriftReport column = with({{0, 1}, {2, 1}, {4, 1}});
  EXPECT_TRUE(column.sheet_part->has_stretch_y && !column.sheet_part->has_stretch_x);
  const DriftReport slanting = with({{0, 0}, {1, 1}, {2, 2}});
  EXPECT_TRUE(slanting.sheet_part->has_turn);
  EXPECT_FALSE(slanting.sheet_part->has_stretch_x || slanting.sheet_part->has_stretch_y);
  EXPECT_EQ(one.missing, 29);
}

TEST(MeasureDrift, ATileUpsideDownKeepsItsTrueTurnAndTurnsNoOther) {
  const Plan plan = RectanglePlan(5, 6);
  std::mt19937_64 random(3);
  SheetReading reading = ReadingAtIdeal(plan);
  Scatter(reading, 0.2, RadFromDeg(0.3), random);
  reading.sites[8].found.turn_rad = RadFromDeg(179.4);
  const DriftReport report = MeasureDrift(plan, reading);
  EXPECT_NEAR(report.sites[8].turn_rad, RadFromDeg(179.4), 1e-12);
  EXPECT_TRUE(report.sites[8].beyond_hand);
  EXPECT_LT(report.hand_sd_turn_rad, RadFromDeg(0.5));
  EXPECT_LT(std::abs(report.hand_habit_turn_rad), RadFromDeg(0.3));
}

TEST(MeasureDrift, SpreadIsHonest) {
  // 600 sheets with a hand of 0.4 mm: the scatter of each number must match its sd.
  const Plan plan = RectanglePlan(5, 6);
  const SheetPart truth = KnownPart(plan);
  std::mt19937_64 random(2026);
  std::array<double, 6> sum_z2{};
  double hand2 = 0, turn2 = 0;
  constexpr int kSheets = 600;
  for (int i = 0; i < kSheets; ++i) {
    SheetReading reading = ReadingAtIdeal(plan, 0.1, 0.002);
    Move(plan, truth, reading);
    Scatter(reading, 0.4, 0.006, random);
    const DriftReport report = MeasureDrift(plan, reading);
    const SheetPart& p = *report.sheet_part;
    const std::array<double, 6> z{(p.shift.x - truth.shift.x) / p.sd_shift_x_mm,
                                  (p.shift.y - truth.shift.y) / p.sd_shift_y_mm,
                                  (p.turn_rad - truth.turn_rad) / p.sd_turn_rad,
                                  (p.stretch_x - truth.stretch_x) / p.sd_stretch_x,
                                  (p.stretch_y - truth.stretch_y) / p.sd_stretch_y,
                                  (p.shear - truth.shear) / p.sd_shear};
    for (std::size_t k = 0; k < 6; ++k) sum_z2[k] += z[k] * z[k];
    hand2 += report.hand_sd_mm * report.hand_sd_mm;
    turn2 += report.hand_sd_turn_rad * report.hand_sd_turn_rad;
  }
  // The sd of a root mean square of 600 is 1 / sqrt(1200) = 3 %; a few per cent more for
  // the spread's own uncertainty on 30 sites.
  for (const double s : sum_z2) EXPECT_NEAR(std::sqrt(s / kSheets), 1.0, 0.10);
  EXPECT_NEAR(std::sqrt(hand2 / kSheets), 0.4, 0.012);
  EXPECT_NEAR(std::sqrt(turn2 / kSheets), 0.006, 0.0002);
}

TEST(MeasureDrift, TurningThePhotoOfThePlanTurnsTheDrift) {
  // A law: the same errors on a lattice turned by a quarter give the same hand parts.
  const Plan plan = RectanglePlan(4, 5);
  Plan turned = plan;
  turned.lattice.across = {0, 60};
  turned.lattice.down = {-45, 0};
  turned.lattice.origin = {250, 30};
  turned.lattice.turns_rad = {std::numbers::pi / 2};
  std::mt19937_64 random(5);
  SheetReading reading = ReadingAtIdeal(plan);
  Scatter(reading, 0.3, 0.004, random);
  SheetReading other = ReadingAtIdeal(turned);
  for (std::size_t i = 0; i < reading.sites.size(); ++i) {
    const Pose ideal = IdealPose(plan.lattice, reading.sites[i].site);
    const Point d = reading.sites[i].found.at - ideal.at;
    other.sites[i].found.at = other.sites[i].found.at + Point{-d.y, d.x};
    other.sites[i].found.turn_rad += reading.sites[i].found.turn_rad - ideal.turn_rad;
  }
  const DriftReport a = MeasureDrift(plan, reading), b = MeasureDrift(turned, other);
  EXPECT_NEAR(a.sheet_part->stretch_x, b.sheet_part->stretch_y, 1e-8);
  EXPECT_NEAR(a.sheet_part->turn_rad, b.sheet_part->turn_rad, 1e-8);
  for (std::size_t i = 0; i < a.sites.size(); ++i) {
    EXPECT_NEAR(a.sites[i].hand_shift.x, b.sites[i].hand_shift.y, 1e-5);
    EXPECT_NEAR(a.sites[i].hand_shift.y, -b.sites[i].hand_shift.x, 1e-5);
  }
}

TEST(SpreadOf, TheConstantsAreTheIntegralsTheyClaimToBe) {
  // Chi-square with two degrees: density exp(-t/2) / 2; Simpson's rule.
  const auto integral = [](auto f, double end) {
    constexpr int kSteps = 4000;
    double s = 0;
    for (int i = 0; i <= kSteps; ++i) {
      const double w = i == 0 || i == kSteps ? 1 : i % 2 ? 4 : 2;
      s += w * f(end * i / kSteps);
    }
    return s * end / (3.0 * kSteps);
  };
  const double a = 5.12 * 5.12;
  const auto w = [&](double t) { return (1 - t / a) * (1 - t / a); };
  const auto density = [](double t) { return 0.5 * std::exp(-t / 2); };
  const double ew = integral([&](double t) { return w(t) * density(t); }, a);
  const double ewt = integral([&](double t) { return w(t) * t * density(t); }, a);
  const double ew2t = integral([&](double t) { return w(t) * w(t) * t * density(t); }, a);
  const double ed = integral(
      [&](double t) { return (w(t) - 2 / a * (1 - t / a) * t) * density(t); }, a);
  EXPECT_NEAR(ewt / ew, 1.6989590, 1e-6);
  EXPECT_NEAR(ew * (ew2t / 2) / (ed * ed), 0.9043772, 1e-6);
  EXPECT_NEAR((ed * ed) / (ew2t / 2), 0.95, 0.001);  // As good as it says.
}

TEST(MeasureDrift, FindsEverySeamOfALargeSheet) {
  const Plan plan = RectanglePlan(20, 20);
  std::mt19937_64 random(1);
  SheetReading reading = ReadingAtIdeal(plan);
  Scatter(reading, 0.4, 0.005, random);
  const DriftReport report = MeasureDrift(plan, reading);
  EXPECT_EQ(report.seams.size(), 2u * 20 * 19);
}

}  // namespace
}  // namespace truepull
