// SPDX-License-Identifier: Apache-2.0
// Blocks: how much of their outline they print, where several tiles lie on one of them, and
// tiles that run off the sheet.
#include <cmath>
#include <stdexcept>

#include "detect/small_sheets.h"
#include "truepull/drift.h"

namespace truepull::testing {
namespace {

// Stripes of 6 mm cleared by close lines, 6 mm left between: half of the outline prints.
Plan Striped(const Plan& plain) {
  Plan plan = plain;
  const Box box = BoundingBox(plan.plates[0].outline);
  for (double x = box.left + 3; x < box.right; x += 12) {
    for (double u = 0; u < 6; u += 0.4) plan.plates[0].drawn.push_back({{{x + u, box.top}, {x + u + 1, box.bottom}}, false});
  }
  return plan;
}

RenderOptions Lino(std::uint64_t seed) {
  RenderOptions options = CleanSmall(seed);
  options.ink.look = InkLook::kRelief;
  options.ink.edge_ring_mm = 0;
  options.ink.carved = true;
  options.ink.motif = Motif::kGull;   // Any: the plan's own lines are meant.
  return options;
}

std::string States(const SheetReading& reading) {
  std::string out;
  for (const SiteReading& r : reading.sites) out += std::string(NameOf(r.state)).substr(0, 1);
  return out;
}

TEST(CutBlocks, WhatABlockDoesNotPrintIsNotWeak) {
  Plan plan = Striped(SmallWaves());
  const MadePhoto photo = MakePhoto(plan, Lino(91));
  double coverage = 0;
  for (const TruthRow& t : photo.truth) coverage += t.coverage / static_cast<double>(photo.truth.size());
  EXPECT_LT(coverage, 0.55);
  const auto read = [&](double prints, bool measured) {
    plan.plates[0].prints = prints, plan.plates[0].prints_measured = measured;
    const auto reading = ReadPhoto(photo.jpeg, plan);
    if (!reading) throw std::runtime_error(reading.error().message);
    return *reading;
  };
  // Taken for a plate that prints all over, pulls are weak; for what it is, none.
  EXPECT_NE(States(read(1, false)).find('w'), std::string::npos);
  EXPECT_EQ(States(read(0.5, false)), "pppppppppppp");
  const SheetReading measured = read(1, true);
  EXPECT_EQ(States(measured), "pppppppppppp");
  std::printf("prints %.3f, truly %.3f\n", measured.prints.at(0), coverage);
  EXPECT_NEAR(measured.prints.at(0), coverage, 0.06);   // As coverage is true on other sheets.
  ASSERT_FALSE(measured.notes.empty());
  EXPECT_NE(measured.notes.back().find("% of its outline, measured on this sheet"), std::string::npos);
}

TEST(CutBlocks, TilesHalfOffTheSheetAreNotWeak) {
  Plan plan = WavesOn(200, 150, 3, 4, 40, 34);
  plan.lattice.origin.x -= 39;   // The first column's middle lies on the sheet's left side.
  RenderOptions options = CleanSmall(92);
  options.hand.sd_shift_mm = 0.3;
  SheetReading reading;
  const Comparison c = Measured(plan, options, &reading);
  const Figures f = Show("half off", c);
  EXPECT_EQ(f.recall, 1);
  EXPECT_EQ(States(reading), "pppppppppppp");
  EXPECT_LT(f.rms_mm, 0.15);
}

// Two blocks of 3 x 2 tiles: each put down by hand once, each tile cut a little off its place.
TEST(CutBlocks, OnePoseABlockAndWhatIsLeftIsItsCutting) {
  Plan plan = WavesOn(240, 150, 3, 4, 40, 34);
  Pass pass;
  pass.name = "key";
  pass.plate = PassPlate::kBlock;
  pass.block_rows = 3, pass.block_columns = 2;
  RenderOptions options = CleanSmall(93);
  options.hand = {};
  const Point put[2] = {{0.9, -0.5}, {-0.4, 0.7}};
  const double turn[2] = {RadFromDeg(0.6), RadFromDeg(-0.4)};
  std::vector<Point> cut;
  double square = 0;
  for (const Site site : AllSites(plan.lattice)) {
    const auto b = static_cast<std::size_t>(site.column / 2);
    Point centre;
    for (int r = 0; r < 3; ++r) {
      for (int c = 0; c < 2; ++c) centre = centre + (1 / 6.0) * IdealPose(plan.lattice, {r, static_cast<int>(2 * b) + c}).at;
    }
    const Point ideal = IdealPose(plan.lattice, site).at, arm = ideal - centre;
    // A cutter's slips, and one that is plainly off.
    cut.push_back({0.12 * std::sin(5.0 * static_cast<double>(cut.size()) + 1), 0.12 * std::cos(3.0 * static_cast<double>(cut.size()))});
    if (site == Site{2, 1}) cut.back() = {0.5, 0};
    square += Dot(cut.back(), cut.back()) / 2;
    SiteFault fault;
    fault.site = site;
    fault.turn_rad = turn[b];
    fault.shift_mm = put[b] + Rotation(turn[b]) * arm - arm + cut.back();
    options.site_faults.push_back(fault);
  }
  SheetReading reading;
  Measured(plan, options, &reading);
  DriftReport drift = MeasureDrift(plan, reading);
  EXPECT_TRUE(drift.has_hand_sd);
  FitBlocks(plan, pass, drift);
  ASSERT_EQ(drift.blocks.size(), 2u);
  for (std::size_t b = 0; b < 2; ++b) {
    const BlockPose& block = drift.blocks[b];
    EXPECT_EQ(block.pulls, 6);
    EXPECT_NEAR(block.shift.x, put[b].x, 3 * block.sd_shift_mm) << b;
    EXPECT_NEAR(block.shift.y, put[b].y, 3 * block.sd_shift_mm) << b;
    EXPECT_NEAR(block.turn_rad, turn[b], 3 * block.sd_turn_rad) << b;
    EXPECT_LT(block.sd_shift_mm, 0.12);
    EXPECT_GT(block.cut_sd_mm, 0.03);
    EXPECT_LT(block.cut_sd_mm, 0.3);
  }
  EXPECT_EQ(drift.blocks[0].worst, (Site{2, 1}));
  EXPECT_NEAR(drift.blocks[0].worst_mm, 0.5, 0.2);
  EXPECT_FALSE(drift.has_hand_sd);   // No hand put these tiles down one by one.
  // What is left at the sites is the cutting, freed of the move that the block could make.
  double left = 0;
  for (const SiteDrift& d : drift.sites) left += Dot(d.cut_shift, d.cut_shift) / 2;
  EXPECT_NEAR(std::sqrt(left / 12), std::sqrt(square / 12), 0.06);
}

TEST(CutBlocks, ASheetBlockIsOneAndATilePassHasNone) {
  const Plan plan = SmallWaves();
  SheetReading reading;
  RenderOptions options = CleanSmall(94);
  Measured(plan, options, &reading);
  DriftReport drift = MeasureDrift(plan, reading);
  Pass pass;
  FitBlocks(plan, pass, drift);
  EXPECT_TRUE(drift.blocks.empty());
  EXPECT_TRUE(drift.has_hand_sd);
  pass.plate = PassPlate::kSheet;
  FitBlocks(plan, pass, drift);
  ASSERT_EQ(drift.blocks.size(), 1u);
  EXPECT_EQ(drift.blocks[0].pulls, 12);
  // Here the hand's spread of 0.8 mm stands for what a block's cutting would be.
  EXPECT_NEAR(drift.blocks[0].cut_sd_mm, 0.8, 0.35);
}

}  // namespace
}  // namespace truepull::testing
