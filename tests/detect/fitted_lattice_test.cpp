// SPDX-License-Identifier: Apache-2.0
// A lattice that nobody planned is found from the print, and drift is measured from it.
#include <cmath>

#include "detect/small_sheets.h"
#include "truepull/drift.h"
#include "truepull/fitted_lattice.h"
#include "truepull/photo_file.h"

namespace truepull::testing {
namespace {

Result<FittedReading> Fitted(const Plan& plan, const MadePhoto& made) {
  const auto photo = DecodePhoto(made.jpeg, "photo.jpg");
  if (!photo) return photo.error();
  const auto frame = FindSheet(*photo, plan.sheet);
  if (!frame) return frame.error();
  return MeasureSheetFittingLattice(*photo, *frame, plan);
}

// As printed: the lattice of `plan` moved and turned about its middle.
RenderOptions Off(const Plan& plan, Point steps, double turn_deg) {
  RenderOptions options = EasySmall(61);
  options.sheet.shift_mm = steps.x * plan.lattice.across + steps.y * plan.lattice.down;
  options.sheet.turn_rad = RadFromDeg(turn_deg);
  for (const Site site : {Site{0, 0}, Site{1, 2}, Site{2, 1}}) {
    SiteFault fault;
    fault.site = site;
    fault.missing = true;
    options.site_faults.push_back(fault);
  }
  return options;
}

Plan Printed(Plan plan, Point steps) {
  plan.lattice.origin = plan.lattice.origin + steps.x * plan.lattice.across + steps.y * plan.lattice.down;
  return plan;
}

// Every pull at its own site, and as exactly as by a plan that knows the lattice's place.
void ExpectSitesFound(const MadePhoto& made, const Plan& where_printed, const FittedReading& fitted) {
  ASSERT_EQ(fitted.sheet.sites.size(), made.truth.size());
  double sum = 0, n = 0;
  for (std::size_t i = 0; i < made.truth.size(); ++i) {
    const SiteReading& r = fitted.sheet.sites[i];
    EXPECT_EQ(r.state == SiteState::kMissing, made.truth[i].state == SiteState::kMissing) << SiteLabel(r.site);
    if (r.state == SiteState::kMissing || made.truth[i].state == SiteState::kMissing) continue;
    const Point d = r.found.at - made.truth[i].pose.at;
    EXPECT_LT(Norm(d), 1) << SiteLabel(r.site);
    sum += Dot(d, d), n += 2;
  }
  const auto planned = ReadPhoto(made.jpeg, where_printed);
  ASSERT_TRUE(planned.has_value()) << planned.error().message;
  const Figures known = Summarise(Compare(where_printed, made.truth, *planned));
  std::printf("fitted: rms %.3f mm, by a plan that knows the place %.3f mm\n", std::sqrt(sum / n), known.rms_mm);
  EXPECT_LT(std::sqrt(sum / n), 1.2 * known.rms_mm + 0.02);
}

TEST(FittedLattice, IsFoundOneAndAHalfStepsOffAndTurnedByFourDegrees) {
  Plan plan = WavesOn(320, 220, 3, 4, 40, 34);
  const MadePhoto made = MakePhoto(plan, Off(plan, {1.5, -0.5}, 4));
  Plan asked = plan;
  asked.lattice.origin = {0, 0};
  asked.lattice.fit_origin = asked.lattice.fit_turn = true;
  const auto fitted = Fitted(asked, made);
  ASSERT_TRUE(fitted.has_value()) << fitted.error().message;
  ExpectSitesFound(made, Printed(plan, {1.5, -0.5}), *fitted);
  // Drift from the best lattice: no shift and no turn in common, and its turn is the print's.
  const DriftReport drift = MeasureDrift(fitted->plan, fitted->sheet);
  ASSERT_TRUE(drift.sheet_part.has_value());
  EXPECT_LT(Norm(drift.sheet_part->shift), 0.001);
  EXPECT_NEAR(drift.sheet_part->turn_rad, 0, 1e-5);
  EXPECT_NEAR(DegFromRad(std::atan2(fitted->plan.lattice.across.y, fitted->plan.lattice.across.x)), 4, 0.4);
  EXPECT_NE(fitted->sheet.notes.back().find("lattice that fits this print best"), std::string::npos);
}

TEST(FittedLattice, RowsAndColumnsAreCountedWhereThePlanLeavesThemOpen) {
  Plan plan = WavesOn(320, 220, 3, 4, 40, 34);
  const MadePhoto made = MakePhoto(plan, Off(plan, {-1, 0.5}, 0));
  Plan asked = plan;
  asked.lattice.origin = {0, 0};
  asked.lattice.rows = asked.lattice.columns = 1;
  asked.lattice.fit_origin = asked.lattice.fit_rows = asked.lattice.fit_columns = true;
  const auto fitted = Fitted(asked, made);
  ASSERT_TRUE(fitted.has_value()) << fitted.error().message;
  EXPECT_EQ(fitted->plan.lattice.rows, 3);
  EXPECT_EQ(fitted->plan.lattice.columns, 4);
  ExpectSitesFound(made, Printed(plan, {-1, 0.5}), *fitted);
}

TEST(FittedLattice, HalfTurnsAndStaggerBeginWhereThePlanHasThemBegin) {
  for (Plan plan : {HalfTurnsOn(320, 220, 3, 4, 38, 34), HexagonsOn(320, 220, 3, 4, 21)}) {
    const MadePhoto made = MakePhoto(plan, Off(plan, {1, 0.5}, 0));
    Plan asked = plan;
    asked.lattice.origin = {0, 0};
    asked.lattice.fit_origin = true;
    const auto fitted = Fitted(asked, made);
    ASSERT_TRUE(fitted.has_value()) << fitted.error().message;
    ExpectSitesFound(made, Printed(plan, {1, 0.5}), *fitted);
  }
}

TEST(FittedLattice, AnEmptySheetIsRefused) {
  RenderOptions options = EasySmall(62);
  options.ink.missing_share = 1;
  Plan plan = SmallWaves();
  const MadePhoto made = MakePhoto(plan, options);
  plan.lattice.fit_origin = true;
  const auto fitted = Fitted(plan, made);
  ASSERT_FALSE(fitted.has_value());
  EXPECT_NE(fitted.error().message.find("found no pulls"), std::string::npos) << fitted.error().message;
}

}  // namespace
}  // namespace truepull::testing
