// SPDX-License-Identifier: Apache-2.0
// What a right plan reads as: every key, the defaults, inches, and the warnings.
#include "truepull/plan_text.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "support/harbour_plan.h"

namespace truepull::testing {
namespace {

using ::testing::ElementsAre;
using ::testing::IsEmpty;

Plan Read(const std::string& text) {
  auto parsed = ParsePlan(text, "plan.yaml");
  if (!parsed) throw std::runtime_error(parsed.error().message);
  return parsed->plan;
}

std::vector<std::string> Warnings(const std::string& text) {
  auto parsed = ParsePlan(text, "plan.yaml");
  if (!parsed) throw std::runtime_error(parsed.error().message);
  return parsed->warnings;
}

TEST(ParsePlan, ReadsEveryKey) {
  const Plan plan = Read(R"(# A plan with everything in it.
truepull: 1
title: Harbour gulls, trial sheet
units: mm
sheet:
  width: 420
  height: 297.5
  sd: 0.5
  grain: y
  stretch: {along_grain: -0.1, across_grain: 1.4}
plates:
  A: {outline: [[0, 0], [60, 0], [60, 45], [0, 45]], prints: 0.8}
  B small: {outline: [[0, 0], [10, 0], [0, 10]]}
lattice:
  origin: [30, 24]
  across: [60, 1]
  down: [-1, 45]
  rows: 5
  columns: 3
  turns: [0, 180, -90]
  stagger: {columns: -0.25}
  cell: [{plate: A}, {plate: B small, at: [30, 12.5], turn: 90, mirrored: true}]
edge_colour: "#5A3a20"
colours: ["#3a62a8", "#7b4fa0"]
colour_map: [[0, 1, 0, 1, 0, 1], [1, 1, 1, 0, 0, 0]]
tolerance: {shift: 0.5, turn: 2}
passes:
  - {name: dark, colour: "#203050", opacity: half, outline: [[0, 0], [9, 0], [0, 9]], registers_to: first, kind: key, pulled: damp}
  - {name: over, plate: block, sites: [2, 3], registers_to: dark, kind: glaze, pulled: dry, opacity: opaque}
  - {name: all, plate: sheet, kind: reduction, opacity: transparent}
)");
  EXPECT_EQ(plan.title, "Harbour gulls, trial sheet");
  EXPECT_EQ(plan.sheet.width_mm, 420);
  EXPECT_EQ(plan.sheet.height_mm, 297.5);
  EXPECT_EQ(plan.sheet.sd_mm, 0.5);
  EXPECT_EQ(plan.sheet.grain, Grain::kY);
  EXPECT_EQ(plan.sheet.stretch_along_percent, -0.1);
  EXPECT_EQ(plan.sheet.stretch_across_percent, 1.4);
  ASSERT_EQ(plan.plates.size(), 2u);
  EXPECT_EQ(plan.plates[0].name, "A");
  EXPECT_EQ(plan.plates[0].prints, 0.8);
  EXPECT_FALSE(plan.plates[0].prints_measured);
  EXPECT_EQ(plan.plates[1].name, "B small");
  EXPECT_EQ(plan.plates[1].outline, (Outline{{0, 0}, {10, 0}, {0, 10}}));
  const Lattice& lattice = plan.lattice;
  EXPECT_EQ(lattice.origin, (Point{30, 24}));
  EXPECT_EQ(lattice.across, (Point{60, 1}));
  EXPECT_EQ(lattice.down, (Point{-1, 45}));
  EXPECT_EQ(lattice.rows, 5);
  EXPECT_EQ(lattice.columns, 3);
  EXPECT_THAT(lattice.turns_rad, ElementsAre(0, RadFromDeg(180), RadFromDeg(-90)));
  EXPECT_EQ(lattice.stagger_rows, 0);
  EXPECT_EQ(lattice.stagger_columns, -0.25);
  ASSERT_EQ(lattice.cell.size(), 2u);
  EXPECT_EQ(lattice.cell[0].plate, 0);
  EXPECT_EQ(lattice.cell[1].plate, 1);
  EXPECT_EQ(lattice.cell[1].at, (Point{30, 12.5}));
  EXPECT_EQ(lattice.cell[1].turn_rad, RadFromDeg(90));
  EXPECT_TRUE(lattice.cell[1].mirrored);
  EXPECT_EQ(plan.edge_colour, "#5a3a20");
  EXPECT_THAT(plan.colours, ElementsAre("#3a62a8", "#7b4fa0"));
  EXPECT_THAT(plan.colour_map, ElementsAre(ElementsAre(0, 1, 0, 1, 0, 1), ElementsAre(1, 1, 1, 0, 0, 0)));
  EXPECT_EQ(plan.tolerance.shift_mm, 0.5);
  EXPECT_EQ(plan.tolerance.turn_rad, RadFromDeg(2));
  ASSERT_EQ(plan.passes.size(), 3u);
  EXPECT_EQ(plan.passes[0].colour, "#203050");
  EXPECT_EQ(plan.passes[0].opacity, Opacity::kHalf);
  EXPECT_EQ(plan.passes[0].outline.size(), 3u);
  EXPECT_EQ(plan.passes[0].kind, PassKind::kKey);
  EXPECT_EQ(plan.passes[0].pulled, SheetState::kDamp);
  EXPECT_EQ(plan.passes[1].plate, PassPlate::kBlock);
  EXPECT_EQ(plan.passes[1].block_rows, 2);
  EXPECT_EQ(plan.passes[1].block_columns, 3);
  EXPECT_EQ(plan.passes[1].registers_to, "dark");
  EXPECT_EQ(plan.passes[1].pulled, SheetState::kDry);
  EXPECT_EQ(plan.passes[2].plate, PassPlate::kSheet);
  EXPECT_EQ(plan.passes[2].kind, PassKind::kReduction);
}

TEST(ParsePlan, GivesTheDefaultsOfTheFormat) {
  const Plan plan = Read(
      "truepull: 1\n"
      "sheet: {width: 420, height: 297}\n"
      "tile: {outline: [[0, 0], [60, 0], [60, 45], [0, 45]]}\n"
      "lattice: {origin: [30, 24], across: [60, 0], down: [0, 45], rows: 5, columns: 6}\n");
  EXPECT_EQ(plan.title, "");
  EXPECT_EQ(plan.sheet.sd_mm, 0);
  EXPECT_EQ(plan.sheet.grain, Grain::kUnknown);
  EXPECT_FALSE(plan.sheet.stretch_along_percent);
  EXPECT_EQ(plan.plates.at(0).name, "tile");
  EXPECT_EQ(plan.plates[0].prints, 1);
  EXPECT_THAT(plan.lattice.turns_rad, ElementsAre(0));
  EXPECT_EQ(plan.lattice.cell.size(), 1u);
  EXPECT_THAT(plan.colours, IsEmpty());
  EXPECT_EQ(plan.tolerance.shift_mm, 1);
  EXPECT_EQ(plan.tolerance.turn_rad, RadFromDeg(1));
  EXPECT_THAT(plan.passes, IsEmpty());
}

TEST(ParsePlan, ReadsEveryLengthInInchesWhenAskedTo) {
  const Plan plan = Read(
      "truepull: 1\nunits: in\n"
      "sheet: {width: 17, height: 11, sd: 0.01}\n"
      "tile: {outline: [[0, 0], [2, 0], [2, 1.5], [0, 1.5]]}\n"
      "lattice: {origin: [1, 1], across: [2, 0], down: [0, 1.5], rows: 5, columns: 6, cell: [{at: [0.5, 0]}]}\n"
      "tolerance: {shift: 0.1}\n"
      "passes: [{name: dark, outline: [[0, 0], [1, 0], [0, 1]]}]\n");
  EXPECT_EQ(plan.sheet.width_mm, 17 * 25.4);
  EXPECT_EQ(plan.sheet.sd_mm, 0.01 * 25.4);
  EXPECT_EQ(plan.plates[0].outline[2], (Point{50.8, 1.5 * 25.4}));
  EXPECT_EQ(plan.lattice.origin, (Point{25.4, 25.4}));
  EXPECT_EQ(plan.lattice.cell[0].at, (Point{12.7, 0}));
  EXPECT_EQ(plan.tolerance.shift_mm, 0.1 * 25.4);
  EXPECT_EQ(plan.passes[0].outline[1], (Point{25.4, 0}));
}

TEST(ParsePlan, TakesSizesByNameLyingOrUpright) {
  const auto sheet = [](const std::string& size) {
    return Read(With("  width: 420\n  height: 297\n", "  size: " + size + "\n")).sheet;
  };
  EXPECT_EQ(sheet("A3").width_mm, 420);
  EXPECT_EQ(sheet("A3").height_mm, 297);
  EXPECT_EQ(sheet("a3 upright").width_mm, 297);
  EXPECT_EQ(sheet("a3 upright").height_mm, 420);
  EXPECT_EQ(sheet("tabloid").width_mm, 17 * 25.4);
  EXPECT_EQ(sheet("22x30").width_mm, 762);
}

TEST(ParsePlan, TakesWindowsLineEndsAndAByteOrderMark) {
  std::string text = "\xEF\xBB\xBF";
  for (const char c : kHarbourPlan) {
    if (c == '\n') text += '\r';
    text += c;
  }
  EXPECT_EQ(Read(text).lattice.columns, 6);
}

TEST(PlanWarnings, AreNoneForTilesThatTouchOnTheSheet) { EXPECT_THAT(Warnings(kHarbourPlan), IsEmpty()); }

TEST(PlanWarnings, NameAGutterAndAnOverlap) {
  // Cell 61 x 46 = 2806; tile 2700; the rim is 210 long: 2 x 106 / 210 = 1.0095 mm.
  const std::string gutter = With("[60, 0]\n", "[61, 0]\n", With("down: [0, 45]", "down: [0, 46]"));
  EXPECT_THAT(Warnings(With("[30, 24]", "[10, 10]", gutter)),
              ElementsAre("the lattice cell is 2806.0 mm2 and the tile 2700.0 mm2: about 1.01 mm of gutter between "
                          "neighbours"));
  // 59 x 44 = 2596: 2 x 104 / 210 = 0.99 mm.
  const std::string overlap = With("[60, 0]\n", "[59, 0]\n", With("down: [0, 45]", "down: [0, 44]"));
  EXPECT_THAT(Warnings(overlap),
              ElementsAre("the lattice cell is 2596.0 mm2 and the tile 2700.0 mm2: about 0.99 mm of overlap between "
                          "neighbours"));
}

TEST(PlanWarnings, CompareTheCellWithAllTilesInIt) {
  // Two right triangles of 60 x 45 make the rectangle: 1350 + 1350 = 60 x 45.
  const std::string pair = With("[[0, 0], [60, 0], [60, 45], [0, 45]]", "[[0, 0], [60, 0], [0, 45]]");
  EXPECT_THAT(Warnings(With("colour_map: [[0, 1, 0, 1, 0, 1]]\n", "",
                            With("rows: 5", "rows: 5\n  cell: [{at: [0, 0]}, {at: [60, 45], turn: 180}]", pair))),
              IsEmpty());
}

TEST(PlanWarnings, NameTheSitesThatHangOffTheSheet) {
  // The right-hand column ends at 80 + 6 x 60 = 440, 20 mm past the edge at 420: 5 sites.
  EXPECT_THAT(Warnings(With("[30, 24]", "[80, 24]")),
              ElementsAre("5 of 30 sites hang off the sheet, most of all A6 by 20.0 mm at the right edge"));
  // One turned site: about its corner by -90 degrees it stands on its end, 60 mm upward.
  EXPECT_THAT(Warnings(With("rows: 5\n  columns: 6", "rows: 1\n  columns: 1\n  turns: [-90]",
                            With("colour_map: [[0, 1, 0, 1, 0, 1]]\n", ""))),
              ElementsAre("1 of 1 sites hangs off the sheet, A1 by 36.0 mm at the top edge"));
}

TEST(PlanWarnings, NameAColourMapThatDoesNotFitTheSites) {
  EXPECT_THAT(Warnings(With("[[0, 1, 0, 1, 0, 1]]", "[[0, 1]]")),
              ElementsAre("row 0 of the colour map has 2 colours for 6 sites: it begins anew"));
}

}  // namespace
}  // namespace truepull::testing
