// SPDX-License-Identifier: Apache-2.0
// On clean sheets every pull is found and its place is true to a few hundredths of a mm.
#include <cstdio>

#include "detect/small_sheets.h"

namespace truepull::testing {
namespace {

// A careful fit of a free clean edge errs by 0.01 to 0.02 mm at 6.7 px to the mm, frame
// included; twice that, and 0.1 mm for the worst of a dozen, leaves no room for a wrong band.
constexpr double kCleanRmsMm = 0.04, kCleanWorstMm = 0.12, kCleanTurnRmsDeg = 0.08;

void ExpectClean(const char* what, const Plan& plan, const RenderOptions& options) {
  const Comparison c = Measured(plan, options);
  const Figures f = Show(what, c);
  EXPECT_EQ(f.recall, 1) << what;
  EXPECT_EQ(c.false_finds, 0) << what;
  EXPECT_LT(f.rms_mm, kCleanRmsMm) << what;
  EXPECT_LT(f.worst_mm, kCleanWorstMm) << what;
  EXPECT_LT(f.turn_rms_deg, kCleanTurnRmsDeg) << what;
}

TEST(CleanSheet, WavyTilesAreFoundWhereTheyLie) { ExpectClean("waves", SmallWaves(), CleanSmall(11)); }

TEST(CleanSheet, SoAreTilesWithAGutter) {
  ExpectClean("gutter", RectanglesOn(200, 150, 3, 4, 38, 32, 3), CleanSmall(12));
}

TEST(CleanSheet, SoAreHalfTurns) { ExpectClean("half-turns", HalfTurnsOn(200, 150, 3, 4, 38, 34), CleanSmall(13)); }

TEST(CleanSheet, SoAreTriangles) { ExpectClean("triangles", TrianglesOn(200, 150, 2, 6, 46, 48), CleanSmall(14)); }

TEST(CleanSheet, ALatticeTurnedByFiveDegreesAndTenMillimetresOffIsStillRead) {
  RenderOptions options = CleanSmall(15);
  options.sheet.turn_rad = RadFromDeg(5);
  options.sheet.shift_mm = {10, -4};
  ExpectClean("turned", SmallWaves(), options);
}

TEST(CleanSheet, OnePullAloneIsFound) {
  ExpectClean("one", WavesOn(120, 90, 1, 1, 60, 44), CleanSmall(16));
}

TEST(CleanSheet, ReliefInkWithoutAnEdgeBandIsFound) {
  RenderOptions options = CleanSmall(17);
  options.ink.look = InkLook::kRelief;
  options.ink.edge_ring_mm = 0;
  options.ink.rim = 0.8;
  ExpectClean("relief", SmallWaves(), options);
}

TEST(CleanSheet, AnEmptySheetHasNoPulls) {
  RenderOptions options = CleanSmall(18);
  options.ink.missing_share = 1;
  options.paper.texture = 0.8;
  const Comparison c = Measured(SmallWaves(), options);
  EXPECT_EQ(c.absent, 12);
  EXPECT_EQ(c.false_finds, 0);
}

TEST(CleanSheet, MissingAndWeakPullsAreCalledSo) {
  RenderOptions options = CleanSmall(19);
  for (const Site site : {Site{0, 1}, Site{2, 3}, Site{1, 2}}) {
    SiteFault fault;
    fault.site = site;
    fault.missing = true;
    options.site_faults.push_back(fault);
  }
  for (const Site site : {Site{0, 3}, Site{2, 0}}) {
    SiteFault fault;
    fault.site = site;
    fault.weak = true;
    options.site_faults.push_back(fault);
  }
  SheetReading reading;
  const Plan plan = SmallWaves();
  const Comparison c = Measured(plan, options, &reading);
  Show("missing and weak", c);
  EXPECT_EQ(c.absent, 3);
  EXPECT_EQ(c.false_finds, 0);
  EXPECT_EQ(c.lost, 0);
  for (const SiteReading& r : reading.sites) {
    const bool weak = r.site == Site{0, 3} || r.site == Site{2, 0};
    const bool missing = r.site == Site{0, 1} || r.site == Site{2, 3} || r.site == Site{1, 2};
    EXPECT_EQ(r.state, missing ? SiteState::kMissing : weak ? SiteState::kWeak : SiteState::kPrinted) << SiteLabel(r.site);
  }
}

}  // namespace
}  // namespace truepull::testing
