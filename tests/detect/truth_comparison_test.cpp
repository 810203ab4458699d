// SPDX-License-Identifier: Apache-2.0
// The figures that benchmarks print, on a case small enough to work out by hand.
#include "support/truth_comparison.h"

#include <gtest/gtest.h>

#include "support/made_plans.h"

namespace truepull::testing {
namespace {

struct Case {
  Plan plan = RectanglesOn(200, 150, 1, 4, 40, 30);
  std::vector<TruthRow> truth;
  SheetReading reading;
  Case() {
    for (const Site site : AllSites(plan.lattice)) {
      TruthRow t;
      t.site = site;
      t.state = SiteState::kPrinted;
      t.pose = IdealPose(plan.lattice, site);
      truth.push_back(t);
      SiteReading r;
      r.site = site;
      r.state = SiteState::kPrinted;
      r.found = t.pose;
      r.covariance = DiagonalCovariance(0.1, 0.1, RadFromDeg(0.1));
      reading.sites.push_back(r);
    }
  }
};

TEST(TruthComparison, CountsLostInventedAndGross) {
  Case c;
  c.truth[0].state = SiteState::kMissing;      // Found all the same: invented.
  c.reading.sites[1].state = SiteState::kMissing;   // Lost.
  c.reading.sites[2].found.at.x += 2.1;             // Gross.
  const Comparison all = Compare(c.plan, c.truth, c.reading);
  EXPECT_EQ(all.present, 3);
  EXPECT_EQ(all.absent, 1);
  EXPECT_EQ(all.false_finds, 1);
  EXPECT_EQ(all.lost, 1);
  const Figures f = Summarise(all);
  EXPECT_EQ(f.gross, 1);
  EXPECT_DOUBLE_EQ(f.recall, 1.0 / 3);   // Only site 3 is found where it is.
}

TEST(TruthComparison, WorksOutRootMeanSquaresAndShares) {
  Case c;
  c.reading.sites[0].found.at.x += 0.3;
  c.reading.sites[1].found.at.y -= 0.4;
  c.reading.sites[2].found.turn_rad += RadFromDeg(0.15);
  const Figures f = Summarise(Compare(c.plan, c.truth, c.reading));
  // (0.09 + 0.16) / (2 x 4) under the root.
  EXPECT_NEAR(f.rms_mm, 0.176777, 1e-6);
  EXPECT_NEAR(f.turn_rms_deg, 0.075, 1e-9);
  EXPECT_NEAR(f.worst_mm, 0.4, 1e-9);
  EXPECT_NEAR(f.median_mm, 0.15, 1e-9);   // Of 0, 0, 0.3, 0.4.
  // Of 12 numbers three are off: by 3, 4 and 1.5 sd.
  EXPECT_NEAR(f.within_1_sd, 9.0 / 12, 1e-9);
  EXPECT_NEAR(f.within_2_sd, 10.0 / 12, 1e-9);
  EXPECT_NEAR(f.z_squared, (9 + 16 + 2.25) / 12, 1e-6);
}

TEST(TruthComparison, TakesATurnBeyondAHalfAsTheShortWayRound) {
  Case c;
  c.truth[0].pose.turn_rad = RadFromDeg(179.9);
  c.reading.sites[0].found.turn_rad = RadFromDeg(-179.9);
  const Comparison all = Compare(c.plan, c.truth, c.reading);
  EXPECT_NEAR(all.errors[0].dturn_deg, 0.2, 1e-9);
}

TEST(TruthComparison, LosesAllPullsOfARefusedPhoto) {
  Case c;
  Comparison all = Refused(c.truth);
  all.Add(Compare(c.plan, c.truth, c.reading));
  EXPECT_EQ(all.sheets, 2);
  EXPECT_EQ(all.refused, 1);
  EXPECT_EQ(all.lost, 4);
  EXPECT_DOUBLE_EQ(Summarise(all).recall, 0.5);
}

}  // namespace
}  // namespace truepull::testing
