// SPDX-License-Identifier: Apache-2.0
// Sheets on which something is not as planned: it is said in plain words, and measured.
#include <algorithm>
#include <numbers>

#include "detect/small_sheets.h"
#include "truepull/drift.h"

namespace truepull::testing {
namespace {

// Touching edges of an easy sheet; what is asked of it (clean_sheet_test.cpp).
constexpr double kRmsMm = 0.15;

std::string All(const SheetReading& reading) {
  std::string all;
  for (const std::string& f : reading.findings) all += f + "\n";
  return all;
}

bool Says(const SheetReading& reading, const std::string& words) { return All(reading).find(words) != std::string::npos; }

SheetReading ReadAs(const Plan& plan, const MadePhoto& photo) {
  const auto reading = ReadPhoto(photo.jpeg, plan);
  if (!reading) {
    ADD_FAILURE() << reading.error().message;
    return {};
  }
  return *reading;
}

// Reads, and asks that every pull lies where the truth has it.
SheetReading ReadWell(const char* what, const Plan& plan, const RenderOptions& options) {
  SheetReading reading;
  const Comparison c = Measured(plan, options, &reading);
  const Figures f = Show(what, c);
  EXPECT_EQ(f.recall, 1) << what << ": " << All(reading);
  EXPECT_EQ(c.false_finds, 0) << what;
  EXPECT_LT(f.rms_mm, kRmsMm) << what;
  return reading;
}

SiteFault FaultAt(Site site) {
  SiteFault fault;
  fault.site = site;
  return fault;
}

TEST(OddSheet, ATileUpsideDownAndOneFromTheBackAreSaidAndMeasured) {
  RenderOptions options = EasySmall(31);
  SiteFault turned = FaultAt({1, 2}), back = FaultAt({2, 0});
  turned.turn_rad = std::numbers::pi;
  back.mirrored = true;
  options.site_faults = {turned, back};
  const SheetReading reading = ReadWell("turned", SmallWaves(), options);
  EXPECT_TRUE(Says(reading, "B3 was printed upside down (turned by 180 degrees)")) << All(reading);
  EXPECT_TRUE(Says(reading, "C1 was printed from the back of the plate (a mirror image)")) << All(reading);
  EXPECT_EQ(reading.findings.size(), 2u) << All(reading);
}

TEST(OddSheet, ATileTurnedByAQuarterIsSaid) {
  RenderOptions options = EasySmall(32);
  SiteFault turned = FaultAt({1, 1});
  turned.turn_rad = std::numbers::pi / 2;
  options.site_faults = {turned};
  const SheetReading reading = ReadWell("quarter", SmallWaves(), options);
  EXPECT_TRUE(Says(reading, "B2 was printed turned by 90 degrees clockwise")) << All(reading);
}

TEST(OddSheet, ATileTurnedBySixtyOrAHundredAndTwentyDegreesIsSaid) {
  for (const double degrees : {60.0, 120.0}) {
    RenderOptions options = EasySmall(81);
    SiteFault turned = FaultAt({1, 1});
    turned.turn_rad = RadFromDeg(degrees);
    options.site_faults = {turned};
    const SheetReading reading = ReadWell("sixths", WavesOn(240, 170, 3, 4, 40, 34), options);
    EXPECT_TRUE(Says(reading, degrees < 90 ? "B2 was printed turned by 60 degrees clockwise" : "B2 was printed turned by 120 degrees clockwise")) << All(reading);
  }
}

TEST(OddSheet, ARowHalfAStepOffKeepsItsOrder) {
  RenderOptions options = EasySmall(33);
  options.shifted_lines = {{false, 1, 0.5}};
  const SheetReading reading = ReadWell("half row", WavesOn(240, 150, 3, 4, 40, 34), options);
  EXPECT_TRUE(Says(reading, "row B lies about half a step (") && Says(reading, "too far right")) << All(reading);
}

TEST(OddSheet, ARowAWholeStepOffKeepsItsOrder) {
  RenderOptions options = EasySmall(34);
  options.shifted_lines = {{false, 2, -1}};
  const SheetReading reading = ReadWell("whole row", WavesOn(260, 150, 3, 4, 40, 34), options);
  EXPECT_TRUE(Says(reading, "row C lies about a whole step (") && Says(reading, "too far left")) << All(reading);
}

TEST(OddSheet, AColumnHalfAStepOffKeepsItsOrder) {
  RenderOptions options = EasySmall(35);
  options.shifted_lines = {{true, 2, 0.5}};
  const SheetReading reading = ReadWell("half column", WavesOn(200, 170, 3, 4, 40, 34), options);
  EXPECT_TRUE(Says(reading, "column 3 lies about half a step (") && Says(reading, "too far down")) << All(reading);
}

TEST(OddSheet, AColumnAWholeStepOffKeepsItsOrder) {
  RenderOptions options = EasySmall(82);
  options.shifted_lines = {{true, 1, 1}};
  const SheetReading reading = ReadWell("whole column", WavesOn(200, 200, 3, 4, 40, 34), options);
  EXPECT_TRUE(Says(reading, "column 2 lies about a whole step (") && Says(reading, "too far down")) << All(reading);
}

TEST(OddSheet, ASheetUpsideDownIsMeasuredFromItsOwnTop) {
  RenderOptions options = EasySmall(36);
  options.camera.quarter_turns = 2;
  const SheetReading reading = ReadWell("upside down", SmallWaves(), options);
  EXPECT_TRUE(Says(reading, "the sheet lies upside down in the picture: the tiles' outline says")) << All(reading);
}

TEST(OddSheet, TheMarginsTellTheWayUpWhereTheOutlineCannot) {
  RenderOptions options = CleanSmall(37);
  options.camera.quarter_turns = 2;
  Plan plan = RectanglesOn(200, 150, 3, 4, 38, 32, 3);
  plan.lattice.origin.y += 6;  // 12 mm more room at the top than at the bottom.
  plan.colour_map.clear();
  const SheetReading reading = ReadWell("margins", plan, options);
  EXPECT_TRUE(Says(reading, "upside down in the picture: the margins say")) << All(reading);
}

TEST(OddSheet, TheColoursTellTheWayUpWhereNothingElseCan) {
  RenderOptions options = CleanSmall(38);
  options.camera.quarter_turns = 2;
  Plan plan = RectanglesOn(200, 150, 3, 4, 38, 32, 3);
  plan.colour_map = {{0, 0, 0, 0}, {0, 1, 0, 1}, {1, 1, 1, 1}};
  const SheetReading reading = ReadWell("colours", plan, options);
  EXPECT_TRUE(Says(reading, "upside down in the picture: the colours say")) << All(reading);
}

TEST(OddSheet, WhereNothingTellsTheWayUpItIsSaidToBeAssumed) {
  Plan plan = RectanglesOn(200, 150, 3, 4, 38, 32, 3);
  plan.colour_map.clear();
  SheetReading reading;
  Measured(plan, CleanSmall(39), &reading);
  EXPECT_TRUE(reading.findings.empty()) << All(reading);
  ASSERT_FALSE(reading.notes.empty());
  EXPECT_NE(reading.notes.back().find("its top is assumed"), std::string::npos);
}

TEST(OddSheet, OnlySomeSitesPrintedIsSaid) {
  RenderOptions options = EasySmall(40);
  for (const Site site : AllSites(SmallWaves().lattice)) {
    if (site != Site{0, 1} && site != Site{1, 1} && site != Site{2, 2}) {
      SiteFault fault = FaultAt(site);
      fault.missing = true;
      options.site_faults.push_back(fault);
    }
  }
  const SheetReading reading = ReadWell("few", SmallWaves(), options);
  EXPECT_TRUE(Says(reading, "only 3 of the 12 sites are printed")) << All(reading);
}

TEST(OddSheet, PencilLinesAndFingerMarksAreNoPulls) {
  RenderOptions options = EasySmall(41);
  options.ink.missing_share = 1;
  options.paper.pencil_lines = 8;
  options.paper.finger_marks = 8;
  options.paper.texture = 0.8;
  const SheetReading reading = ReadWell("empty", SmallWaves(), options);
  EXPECT_TRUE(Says(reading, "nothing is printed on this sheet: all 12 sites are missing")) << All(reading);
  for (const SiteReading& site : reading.sites) EXPECT_EQ(site.state, SiteState::kMissing);
}

TEST(OddSheet, APullBeyondThePlanIsLeftOver) {
  RenderOptions options = EasySmall(42);
  options.extra_pulls = {{{215, 75}, RadFromDeg(2)}};
  const SheetReading reading = ReadWell("left over", WavesOn(260, 150, 3, 3, 40, 34), options);
  EXPECT_TRUE(Says(reading, "a pull that belongs to no site is left over")) << All(reading);
  ASSERT_EQ(reading.left_over.size(), 1u);
  EXPECT_NEAR(reading.left_over[0].found.at.x, 215, 2);
  EXPECT_NEAR(reading.left_over[0].found.at.y, 75, 2);
}

TEST(OddSheet, TilesOfAnotherSizeAreSaidWithTheirSize) {
  for (const double scale : {0.97, 1.025, 1.1}) {
    RenderOptions options = EasySmall(43);
    options.plate_scale = scale;
    const SheetReading reading = ReadWell("size", WavesOn(220, 160, 3, 4, 40, 34), options);
    ASSERT_EQ(reading.plates.size(), 1u) << scale << ": " << All(reading);
    // Twelve small tiles tell it to some 0.4 %.
    EXPECT_NEAR(reading.plates[0].size, scale, 3 * reading.plates[0].sd_size) << All(reading);
    EXPECT_LT(reading.plates[0].sd_size, 0.005);
    EXPECT_TRUE(Says(reading, scale > 1 ? "% larger than the plan's" : "% smaller than the plan's")) << All(reading);
  }
}

TEST(OddSheet, PaperThatMovedAfterPrintingIsNoOtherPlate) {
  RenderOptions options = EasySmall(44);
  options.sheet.stretch_along_percent = options.sheet.stretch_across_percent = -2.5;
  options.sheet.stretch_after_printing = true;
  const SheetReading reading = ReadWell("moved", SmallWaves(), options);
  EXPECT_TRUE(Says(reading, "they stand as much closer too")) << All(reading);
  const auto part = MeasureDrift(SmallWaves(), reading).sheet_part;
  ASSERT_TRUE(part.has_value());
  EXPECT_NEAR(part->stretch_x, -0.025, 0.01);
  EXPECT_NEAR(part->stretch_y, -0.025, 0.015);
}

// Cut 0.8 mm short on its right side: the left side's place must not move by half of it.
TEST(OddSheet, APlateCutShortIsNotTakenForDrift) {
  RenderOptions options = EasySmall(45);
  options.cut_mm = 0.8;
  SheetReading reading;
  const Plan plan = WavesOn(220, 160, 3, 4, 44, 38);
  const Comparison c = Measured(plan, options, &reading);
  Show("cut", c);
  ASSERT_EQ(reading.plates.size(), 1u) << All(reading);
  ASSERT_EQ(reading.plates[0].sides.size(), 1u) << All(reading);
  EXPECT_EQ(reading.plates[0].sides[0].side, "right");
  EXPECT_NEAR(reading.plates[0].sides[0].mm, -0.8, 2 * reading.plates[0].sides[0].sd_mm);
  EXPECT_LT(reading.plates[0].sides[0].sd_mm, 0.2);
  double mean = 0;
  for (const SiteError& e : c.errors) mean += e.dx_mm / static_cast<double>(c.errors.size());
  EXPECT_NEAR(mean, 0, 0.1);  // 0.4 without the second round.
  // The outline found is the plate's: its right side stands 0.8 mm further in.
  const Box found = BoundingBox(reading.plates[0].outline), planned = BoundingBox(plan.plates[0].outline);
  EXPECT_NEAR(found.right - planned.right, -0.8, 0.2);
  EXPECT_NEAR(found.left - planned.left, 0, 0.1);
}

TEST(OddSheet, AnotherOutlineOrAnotherSheetsPlanIsSaid) {
  // Printed by waves, read as if by rectangles of the same step.
  const MadePhoto photo = MakePhoto(WavesOn(200, 150, 3, 4, 40, 34), EasySmall(46));
  const SheetReading other = ReadAs(SmallRectangles(), photo);
  EXPECT_TRUE(Says(other, "do not follow the plan's outline")) << All(other);
  // And as if of a sheet with other, smaller tiles.
  const SheetReading elsewhere = ReadAs(WavesOn(200, 150, 4, 5, 31, 27), photo);
  EXPECT_TRUE(Says(elsewhere, "do not follow the plan's outline")) << All(elsewhere);
}

TEST(OddSheet, OrdinarySheetsHaveNoFindings) {
  for (const std::uint64_t seed : {51u, 52u, 53u}) {
    SheetReading reading;
    Measured(SmallWaves(), EasySmall(seed), &reading);
    EXPECT_TRUE(reading.findings.empty()) << seed << ": " << All(reading);
    Measured(HexagonsOn(200, 150, 3, 4, 23), CleanSmall(seed), &reading);
    EXPECT_TRUE(reading.findings.empty()) << seed << ": " << All(reading);
  }
}

}  // namespace
}  // namespace truepull::testing
