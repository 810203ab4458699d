// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <cmath>

#include "support/made_plans.h"
#include "support/sheets.h"
#include "truepull/drift.h"

namespace truepull {
namespace {

using testing::ReadingAtIdeal;
using testing::RectanglePlan;
using testing::Scatter;

std::vector<std::optional<Pose>> IdealPoses(const Plan& plan) {
  std::vector<std::optional<Pose>> poses;
  for (const Site s : AllSites(plan.lattice)) poses.emplace_back(IdealPose(plan.lattice, s));
  return poses;
}

const Seam* Find(const std::vector<Seam>& seams, Site a, Site b) {
  for (const Seam& s : seams) {
    if (s.a == a && s.b == b) return &s;
  }
  return nullptr;
}

// Hexagons, flat side up, with a wave on every side: side s goes by half turn into itself.
Plan WavyHexagonPlan() {
  Plan plan = RectanglePlan(3, 3);
  Plate plate;
  constexpr double kR = 30;
  for (int side = 0; side < 6; ++side) {
    const double a0 = std::numbers::pi / 3 * side, a1 = a0 + std::numbers::pi / 3;
    const Point p{kR * std::cos(a0), kR * std::sin(a0)}, q{kR * std::cos(a1), kR * std::sin(a1)};
    const Point d = q - p, n = (1 / Norm(d)) * Point{d.y, -d.x};
    for (int i = 0; i < 40; ++i) {
      const double t = i / 40.0;
      const double wave = 2.0 * std::sin(2 * std::numbers::pi * t);
      // Opposite sides run opposite ways, so the same sine fits by translation.
      plate.outline.push_back(p + t * d + wave * n);
    }
  }
  plan.plates = {plate};
  plan.lattice.origin = {60, 60};
  plan.lattice.across = {1.5 * kR, std::sqrt(3.0) / 2 * kR};
  plan.lattice.down = {0, std::sqrt(3.0) * kR};
  return plan;
}

TEST(MeasureSeams, FindsSidesAndNoCorners) {
  const Plan plan = RectanglePlan(3, 4);
  const std::vector<Seam> seams = MeasureSeams(plan, IdealPoses(plan));
  // 3 rows of 3 upright seams and 2 rows of 4 level ones.
  ASSERT_EQ(seams.size(), 3u * 3 + 2 * 4);
  for (const Seam& s : seams) {
    EXPECT_NEAR(s.mean_gap_mm, 0, 1e-9);
    EXPECT_NEAR(s.worst_gap_mm, 0, 1e-9);
    EXPECT_NEAR(s.length_mm, s.a.row == s.b.row ? 45 : 60, 2.5);
    EXPECT_LT(s.a, s.b);
  }
  EXPECT_EQ(Find(seams, {0, 0}, {1, 1}), nullptr);
}

TEST(MeasureSeams, GapIsPlusAndOverlapMinus) {
  const Plan plan = RectanglePlan(1, 3);
  auto poses = IdealPoses(plan);
  poses[1]->at.x += 0.5;
  const std::vector<Seam> seams = MeasureSeams(plan, poses);
  EXPECT_NEAR(Find(seams, {0, 0}, {0, 1})->mean_gap_mm, 0.5, 1e-9);
  EXPECT_NEAR(Find(seams, {0, 1}, {0, 2})->mean_gap_mm, -0.5, 1e-9);
}

TEST(MeasureSeams, ATurnOpensOneEndAndClosesTheOther) {
  // The right tile turns clockwise about its top left corner by 0.01 rad: its left edge
  // swings to the left going down, into the neighbour, by 0.01 * 45 = 0.45 mm at the end.
  const Plan plan = RectanglePlan(1, 2);
  auto poses = IdealPoses(plan);
  poses[1]->turn_rad = 0.01;
  const std::vector<Seam> seams = MeasureSeams(plan, poses);
  ASSERT_EQ(seams.size(), 1u);
  EXPECT_NEAR(seams[0].mean_gap_mm, -0.225, 0.01);
  EXPECT_NEAR(seams[0].worst_gap_mm, -0.45, 0.01);
}

TEST(MeasureSeams, MovingTheWholeSheetChangesNoSeam) {
  for (const Plan& plan : {RectanglePlan(4, 4), WavyHexagonPlan()}) {
    std::mt19937_64 random(17);
    SheetReading reading = ReadingAtIdeal(plan);
    Scatter(reading, 0.4, 0.006, random);
    std::vector<std::optional<Pose>> before, after;
    for (const SiteReading& r : reading.sites) {
      before.emplace_back(r.found);
      const Rotation turn(0.02);
      after.emplace_back(Pose{Point{3.7, -2.1} + turn * r.found.at, r.found.turn_rad + 0.02});
    }
    const auto a = MeasureSeams(plan, before), b = MeasureSeams(plan, after);
    ASSERT_EQ(a.size(), b.size());
    for (std::size_t i = 0; i < a.size(); ++i) {
      EXPECT_NEAR(a[i].mean_gap_mm, b[i].mean_gap_mm, 1e-9);
      EXPECT_NEAR(a[i].worst_gap_mm, b[i].worst_gap_mm, 1e-9);
    }
  }
}

TEST(MeasureSeams, WavyHexagonsHaveSixNeighbours) {
  const Plan plan = WavyHexagonPlan();
  const auto seams = MeasureSeams(plan, IdealPoses(plan));
  int of_middle = 0;
  for (const Seam& s : seams) of_middle += s.a == Site{1, 1} || s.b == Site{1, 1};
  EXPECT_EQ(of_middle, 6);
  for (const Seam& s : seams) EXPECT_LT(std::abs(s.worst_gap_mm), 0.05);
}

TEST(MeasureSeams, AStretchedLatticeOpensEverySeamByTheStep) {
  // 1 % on a step of 60 mm is 0.6 mm, on 45 mm 0.45 mm.
  const Plan plan = RectanglePlan(3, 3);
  auto poses = IdealPoses(plan);
  for (auto& p : poses) p->at = 1.01 * p->at;
  for (const Seam& s : MeasureSeams(plan, poses)) {
    EXPECT_NEAR(s.mean_gap_mm, s.a.row == s.b.row ? 0.6 : 0.45, 1e-9);
  }
}

// The gull's sides slant at its corners, so that tiles across a corner face one another for a
// little way; each such place has a true neighbour nearer by.
TEST(MeasureSeams, TouchingAtACornerIsNoSeam) {
  const Plan plan = testing::HarbourGulls();
  const auto seams = MeasureSeams(plan, IdealPoses(plan));
  const int rows = plan.lattice.rows, columns = plan.lattice.columns;
  EXPECT_EQ(static_cast<int>(seams.size()), rows * (columns - 1) + (rows - 1) * columns);
  for (const Seam& s : seams) {
    EXPECT_EQ(std::abs(s.a.row - s.b.row) + std::abs(s.a.column - s.b.column), 1)
        << SiteLabel(s.a) << SiteLabel(s.b) << " of " << s.length_mm << " mm";
  }
  // Where a pull is missing, what lies behind it is no neighbour either.
  auto poses = IdealPoses(plan);
  poses[static_cast<std::size_t>(columns + 1)].reset();
  EXPECT_EQ(MeasureSeams(plan, poses).size(), seams.size() - 4);
}

TEST(MeasureSeams, APlannedGutterIsKnownApart) {
  Plan plan = RectanglePlan(2, 2);
  plan.lattice.across.x = 62;
  const auto seams = MeasureSeams(plan, IdealPoses(plan));
  const Seam* s = Find(seams, {0, 0}, {0, 1});
  ASSERT_NE(s, nullptr);
  EXPECT_NEAR(s->ideal_gap_mm, 2, 1e-9);
  EXPECT_NEAR(s->mean_gap_mm, 2, 1e-9);
}

TEST(MeasureSeams, AMissingSiteHasNone) {
  const Plan plan = RectanglePlan(1, 3);
  auto poses = IdealPoses(plan);
  poses[1].reset();
  EXPECT_TRUE(MeasureSeams(plan, poses).empty());
}

TEST(MeasureSeams, ATileUpsideDownStillMeetsItsNeighbours) {
  // The rectangle turned by 180 degrees about its middle covers the same place.
  const Plan plan = RectanglePlan(1, 3);
  auto poses = IdealPoses(plan);
  poses[1] = Pose{poses[1]->at + Point{60.3, 45}, std::numbers::pi};
  const auto seams = MeasureSeams(plan, poses);
  const Seam* left = Find(seams, {0, 0}, {0, 1});
  const Seam* right = Find(seams, {0, 1}, {0, 2});
  ASSERT_TRUE(left && right);
  EXPECT_NEAR(left->mean_gap_mm, 0.3, 1e-9);
  EXPECT_NEAR(right->mean_gap_mm, -0.3, 1e-9);
}

TEST(MeasureSeams, SpreadOfTheMeanGapIsHonest) {
  const Plan plan = RectanglePlan(1, 2);
  std::mt19937_64 random(99);
  double sum_z2 = 0;
  constexpr int kSheets = 800;
  for (int i = 0; i < kSheets; ++i) {
    SheetReading reading = ReadingAtIdeal(plan, 0.1, 0.004);
    Scatter(reading, 0, 0, random);
    const Seam seam = MeasureDrift(plan, reading).seams.at(0);
    sum_z2 += std::pow(seam.mean_gap_mm / seam.sd_mean_gap_mm, 2);
  }
  EXPECT_NEAR(std::sqrt(sum_z2 / kSheets), 1.0, 0.08);
}

}  // namespace
}  // namespace truepull
