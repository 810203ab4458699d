// SPDX-License-Identifier: Apache-2.0
// The tiles that tests and benchmarks print are what they are said to be.
#include "support/made_plans.h"

#include <gtest/gtest.h>

#include "truepull/drift.h"
#include "truepull/plan_text.h"

namespace truepull::testing {
namespace {

TEST(MadePlans, AreTakenByThePlanReader) {
  for (const MadePlan& made : AllMadePlans()) {
    const auto parsed = ParsePlan(WritePlan(made.plan), made.name);
    ASSERT_TRUE(parsed.has_value()) << made.name << ": " << parsed.error().message;
  }
}

TEST(MadePlans, CoverThePlaneWithoutAGapBesideTheGutter) {
  for (const MadePlan& made : AllMadePlans()) {
    const Lattice& lattice = made.plan.lattice;
    const double cell = std::abs(Cross(lattice.across, lattice.down));
    const double tile = std::abs(SignedArea(made.plan.plates[0].outline));
    if (made.name == "gutter") {
      EXPECT_NEAR(cell, 58.0 * 47.0, 1e-9);
      EXPECT_NEAR(tile, 55.0 * 44.0, 1e-9);
      continue;
    }
    // Outlines of straight pieces follow curves to 0.01 mm.
    EXPECT_NEAR(tile / cell, 1, 2e-3) << made.name;
    std::vector<std::optional<Pose>> ideal;
    for (const Site site : AllSites(lattice)) ideal.push_back(IdealPose(lattice, site));
    for (const Seam& seam : MeasureSeams(made.plan, ideal)) {
      if (seam.length_mm < 5) continue;   // Corners that come near one another.
      EXPECT_NEAR(seam.worst_gap_mm, 0, 0.1) << made.name << " " << SiteLabel(seam.a) << " " << SiteLabel(seam.b);
    }
  }
}

TEST(MadePlans, HoldEverySiteOnTheSheet) {
  for (const MadePlan& made : AllMadePlans()) {
    for (const Site site : AllSites(made.plan.lattice)) {
      const Box box = BoundingBox(Apply(IdealPose(made.plan.lattice, site), OutlineAt(made.plan, site)));
      EXPECT_GT(std::min(box.left, box.top), 10) << made.name;
      EXPECT_LT(box.right, made.plan.sheet.width_mm - 10) << made.name;
      EXPECT_LT(box.bottom, made.plan.sheet.height_mm - 10) << made.name;
    }
  }
}

}  // namespace
}  // namespace truepull::testing
