// SPDX-License-Identifier: Apache-2.0
// Every way in which a plan can be wrong, with the exact words that the printer reads.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "support/harbour_plan.h"
#include "support/refusal.h"

namespace truepull::testing {
namespace {

struct Case {
  const char* from;
  const char* to;
  const char* refusal;
};

void Check(std::initializer_list<Case> cases) {
  for (const Case& c : cases) {
    SCOPED_TRACE(c.to);
    EXPECT_EQ(Refusal(With(c.from, c.to)), c.refusal);
  }
}

TEST(PlanRefusal, StartsFromAPlanThatIsRight) { EXPECT_EQ(Refusal(kHarbourPlan), "accepted"); }

TEST(PlanRefusal, NamesTheCountsThatCannotBe) {
  Check({
      {"rows: 5", "rows: 0",
       "plan.yaml:12:9: lattice.rows must be 1 or more, not 0\n"
       "  rows: 0\n"
       "        ^"},
      {"rows: 5", "rows: 2.5",
       "plan.yaml:12:9: lattice.rows must be a whole number, not 2.5\n"
       "  rows: 2.5\n"
       "        ^"},
      {"rows: 5", "rows: ten",
       "plan.yaml:12:9: lattice.rows must be a whole number, not ten\n"
       "  rows: ten\n"
       "        ^"},
      {"rows: 5", "rows: [5]",
       "plan.yaml:12:9: lattice.rows must be a whole number, not a list\n"
       "  rows: [5]\n"
       "        ^"},
      {"rows: 5", "rows: \"5\"",
       "plan.yaml:12:9: lattice.rows must be a whole number, not \"5\"\n"
       "  rows: \"5\"\n"
       "        ^\n"
       "  try: leave out the quotes"},
      {"rows: 5", "rows:",
       "plan.yaml:12:3: lattice.rows is empty; it must be a whole number\n"
       "  rows:\n"
       "  ^"},
      {"rows: 5", "rows: 20000",
       "plan.yaml:12:9: lattice.rows must be 10000 or less, not 20000\n"
       "  rows: 20000\n"
       "        ^"},
      {"rows: 5", "rows: 2000",
       "plan.yaml:12:9: lattice.rows x columns makes 12000 sites; a plan may have at most 10000\n"
       "  rows: 2000\n"
       "        ^"},
      {"rows: 5", "rows: 1000\n  cell: [{at: [0, 0]}, {at: [9, 9]}]",
       "plan.yaml:12:9: lattice.rows x columns x 2 in a cell makes 12000 sites; a plan may have at most 10000\n"
       "  rows: 1000\n"
       "        ^"},
  });
}

TEST(PlanRefusal, NamesNumbersThatAreNone) {
  Check({
      {"rows: 5", "rows: 010",
       "plan.yaml:12:9: lattice.rows must be a whole number, not 010\n"
       "  rows: 010\n"
       "        ^\n"
       "  try: leave out the zeros in front: 10"},
      {"rows: 5", "rows: 0x10",
       "plan.yaml:12:9: lattice.rows must be a whole number, not 0x10\n"
       "  rows: 0x10\n"
       "        ^"},
      {"width: 420", "width: 042.0",
       "plan.yaml:4:10: sheet.width must be a number, not 042.0\n"
       "  width: 042.0\n"
       "         ^\n"
       "  try: leave out the zeros in front: 42.0"},
      {"width: 420", "width: 1e999",
       "plan.yaml:4:10: sheet.width must be a number, not 1e999\n"
       "  width: 1e999\n"
       "         ^\n"
       "  try: the number is too large or too small for any use here"},
      {"width: 420", "width: .nan",
       "plan.yaml:4:10: sheet.width must be a number, not .nan\n"
       "  width: .nan\n"
       "         ^"},
      {"width: 420", "width: NaN",
       "plan.yaml:4:10: sheet.width must be a number, not NaN\n"
       "  width: NaN\n"
       "         ^"},
      {"width: 420", "width: -.inf",
       "plan.yaml:4:10: sheet.width must be a number, not -.inf\n"
       "  width: -.inf\n"
       "         ^"},
      {"width: 420", "width: inf",
       "plan.yaml:4:10: sheet.width must be a number, not inf\n"
       "  width: inf\n"
       "         ^"},
      {"width: 420", "width: 420mm",
       "plan.yaml:4:10: sheet.width must be a number, not 420mm\n"
       "  width: 420mm\n"
       "         ^\n"
       "  try: write the number alone, without its unit"},
      {"width: 420", "width: 420,5",
       "plan.yaml:4:10: sheet.width must be a number, not 420,5\n"
       "  width: 420,5\n"
       "         ^\n"
       "  try: write the decimal point as a dot: 420.5"},
      {"width: 420", "width: 1_000",
       "plan.yaml:4:10: sheet.width must be a number, not 1_000\n"
       "  width: 1_000\n"
       "         ^"},
  });
}

TEST(PlanRefusal, NamesUnknownDoubledAndMissingKeys) {
  Check({
      {"rows: 5", "row: 5",
       "plan.yaml:12:3: lattice.row is not a key that is known here\n"
       "  row: 5\n"
       "  ^\n"
       "  try: did you mean rows?"},
      {"title:", "titel:",
       "plan.yaml:2:1: titel is not a key that is known here\n"
       "titel: Harbour gulls\n"
       "^\n"
       "  try: did you mean title?"},
      {"shift: 1.5", "slide: 1.5",
       "plan.yaml:17:13: tolerance.slide is not a key that is known here\n"
       "tolerance: {slide: 1.5, turn: 2}\n"
       "            ^\n"
       "  try: known here: shift or turn"},
      {"rows: 5", "rows: 5\n  rows: 6",
       "plan.yaml:13:3: lattice.rows is given twice, first on line 12\n"
       "  rows: 6\n"
       "  ^\n"
       "  try: keep one of them"},
      {"passes:", "truepull: 1\npasses:",
       "plan.yaml:18:1: truepull is given twice, first on line 1\n"
       "truepull: 1\n"
       "^\n"
       "  try: keep one of them"},
      {"  rows: 5\n", "",
       "plan.yaml:9:3: lattice.rows is missing\n"
       "  origin: [30, 24]\n"
       "  ^"},
      {"truepull: 1\n", "",
       "plan.yaml:1:1: truepull is missing\n"
       "title: Harbour gulls\n"
       "^\n"
       "  try: begin the file with: truepull: 1"},
      {"truepull: 1", "truepull: 2",
       "plan.yaml:1:11: truepull must be 1, not 2\n"
       "truepull: 2\n"
       "          ^\n"
       "  try: this program reads version 1 of the format"},
      {"title: Harbour gulls", "title: [gulls]",
       "plan.yaml:2:8: title must be a text, not a list\n"
       "title: [gulls]\n"
       "       ^"},
  });
  // A missing quotation mark swallows the plan up to the next one.
  EXPECT_THAT(Refusal(With("title: Harbour", "title: \"Harbour")),
              ::testing::StartsWith("plan.yaml:2:8: title may have at most 120 letters"));
}

TEST(PlanRefusal, NamesSheetsThatCannotBe) {
  Check({
      {"width: 420", "width: 2001",
       "plan.yaml:4:10: sheet.width must be 2000 mm or less, not 2001\n"
       "  width: 2001\n"
       "         ^"},
      {"width: 420", "width: 0",
       "plan.yaml:4:10: sheet.width must be 10 mm or more, not 0\n"
       "  width: 0\n"
       "         ^"},
      {"truepull: 1\n", "truepull: 1\nunits: in\n",
       "plan.yaml:5:10: sheet.width must be 2000 mm or less, not 420 in (10668 mm)\n"
       "  width: 420\n"
       "         ^"},
      {"truepull: 1\n", "truepull: 1\nunits: cm\n",
       "plan.yaml:2:8: units must be mm or in, not cm\n"
       "units: cm\n"
       "       ^\n"
       "  try: did you mean mm?"},
      {"  width: 420\n", "",
       "plan.yaml:4:3: sheet.width is missing\n"
       "  height: 297\n"
       "  ^\n"
       "  try: give sheet.width and sheet.height, or sheet.size (e.g. A3)"},
      {"width: 420", "width: 420\n  size: A3",
       "plan.yaml:4:10: sheet.width is given beside sheet.size\n"
       "  width: 420\n"
       "         ^\n"
       "  try: keep the size, or width and height"},
      {"  width: 420\n  height: 297", "  size: tabliod",
       "plan.yaml:4:9: sheet.size must be the name of a paper size, not tabliod\n"
       "  size: tabliod\n"
       "        ^\n"
       "  try: did you mean tabloid?"},
      {"  width: 420\n  height: 297", "  size: huge",
       "plan.yaml:4:9: sheet.size must be the name of a paper size, not huge\n"
       "  size: huge\n"
       "        ^\n"
       "  try: for example A3, B2, SRA3, letter, tabloid, 22x30, A3 upright; or give width and height"},
      {"width: 420", "width: 420\n  grain: along",
       "plan.yaml:5:10: sheet.grain must be unknown, x or y, not along\n"
       "  grain: along\n"
       "         ^"},
      {"width: 420", "width: 420\n  sd: -1",
       "plan.yaml:5:7: sheet.sd must be 0 mm or more, not -1\n"
       "  sd: -1\n"
       "      ^"},
      {"width: 420", "width: 420\n  stretch: {along_grain: 30}",
       "plan.yaml:5:26: sheet.stretch.along_grain must be 10 % or less, not 30\n"
       "  stretch: {along_grain: 30}\n"
       "                         ^"},
      {"width: 420", "width: 420\n  stretch: 1",
       "plan.yaml:5:12: sheet.stretch must be a set of keys (along_grain or across_grain), not 1\n"
       "  stretch: 1\n"
       "           ^"},
  });
}

TEST(PlanRefusal, NamesLatticesThatCannotBe) {
  Check({
      {"origin: [30, 24]", "origin: middle",
       "plan.yaml:9:11: lattice.origin must be two numbers [x, y] or fit, not middle\n"
       "  origin: middle\n"
       "          ^"},
      {"across: [60, 0]", "across: [0, 0]",
       "plan.yaml:10:11: lattice.across must be a step of 0.1 mm or more\n"
       "  across: [0, 0]\n"
       "          ^\n"
       "  try: a step leads from one site to the next"},
      {"down: [0, 45]", "down: [45, 0]",
       "plan.yaml:11:9: lattice.down runs along lattice.across, so that the rows would lie on one another\n"
       "  down: [45, 0]\n"
       "        ^"},
      {"rows: 5", "rows: 5\n  turns: []",
       "plan.yaml:13:10: lattice.turns has no turns\n"
       "  turns: []\n"
       "         ^"},
      {"rows: 5", "rows: 5\n  turns: [0, 400]",
       "plan.yaml:13:14: lattice.turns[1] must be 360 degrees or less, not 400\n"
       "  turns: [0, 400]\n"
       "             ^"},
      {"rows: 5", "rows: 5\n  stagger: {rows: 1}",
       "plan.yaml:13:19: lattice.stagger.rows must be less than 1, not 1\n"
       "  stagger: {rows: 1}\n"
       "                  ^"},
      {"rows: 5", "rows: 5\n  stagger: {columns: -1}",
       "plan.yaml:13:22: lattice.stagger.columns must be more than -1, not -1\n"
       "  stagger: {columns: -1}\n"
       "                     ^"},
      {"rows: 5", "rows: 5\n  stagger: {rows: 0.5, columns: 0.5}",
       "plan.yaml:13:12: lattice.stagger may have rows or columns, not both\n"
       "  stagger: {rows: 0.5, columns: 0.5}\n"
       "           ^"},
      {"rows: 5", "rows: 5\n  cell: []",
       "plan.yaml:13:9: lattice.cell has no members\n"
       "  cell: []\n"
       "        ^"},
      {"rows: 5", "rows: 5\n  cell: [{plate: B}]",
       "plan.yaml:13:18: lattice.cell[0].plate names no plate of this plan: B\n"
       "  cell: [{plate: B}]\n"
       "                 ^\n"
       "  try: the plan has tile"},
      {"rows: 5", "rows: 5\n  cell: [{plate: tile, mirrored: yes}]",
       "plan.yaml:13:34: lattice.cell[0].mirrored must be false or true, not yes\n"
       "  cell: [{plate: tile, mirrored: yes}]\n"
       "                                 ^"},
      {"rows: 5", "rows: fit",
       "plan.yaml:12:9: lattice.rows can be fit only where lattice.origin is fit too\n"
       "  rows: fit\n"
       "        ^"},
      {"rows: 5", "rows: 5\n  turn: 5",
       "plan.yaml:13:9: lattice.turn must be fit, not 5\n"
       "  turn: 5\n"
       "        ^"},
  });
}

TEST(PlanRefusal, NamesColoursThatCannotBe) {
  Check({
      {"\"#5a3a20\"", "#5a3a20",
       "plan.yaml:14:1: edge_colour is empty; it must be a colour like \"#5a3a20\"\n"
       "edge_colour: #5a3a20\n"
       "^\n"
       "  try: write it as six digits in quotes, for example \"#5a3a20\""},
      {"\"#5a3a20\"", "brown",
       "plan.yaml:14:14: edge_colour must be a colour like \"#5a3a20\", not brown\n"
       "edge_colour: brown\n"
       "             ^\n"
       "  try: write it as six digits in quotes, for example \"#5a3a20\""},
      {"[\"#3a62a8\", \"#7b4fa0\"]", "[]",
       "plan.yaml:15:10: colours has no colours\n"
       "colours: []\n"
       "         ^"},
      {"[\"#3a62a8\", \"#7b4fa0\"]", "[\"#3a62ag\"]",
       "plan.yaml:15:11: colours[0] must be a colour like \"#5a3a20\", not \"#3a62ag\"\n"
       "colours: [\"#3a62ag\"]\n"
       "          ^\n"
       "  try: write it as six digits in quotes, for example \"#5a3a20\""},
      {"colours: [\"#3a62a8\", \"#7b4fa0\"]\n", "",
       "plan.yaml:15:13: colour_map is given without colours\n"
       "colour_map: [[0, 1, 0, 1, 0, 1]]\n"
       "            ^\n"
       "  try: list the colours that it counts, from 0"},
      {"[[0, 1, 0, 1, 0, 1]]", "[[0, 2]]",
       "plan.yaml:16:18: colour_map[0][1] must be 0 to 1, not 2\n"
       "colour_map: [[0, 2]]\n"
       "                 ^\n"
       "  try: it counts the colours from 0"},
      {"[[0, 1, 0, 1, 0, 1]]", "[[-1]]",
       "plan.yaml:16:15: colour_map[0][0] must be 0 to 1, not -1\n"
       "colour_map: [[-1]]\n"
       "              ^\n"
       "  try: it counts the colours from 0"},
      {"[[0, 1, 0, 1, 0, 1]]", "[0, 1]",
       "plan.yaml:16:14: colour_map[0] must be a list of colours, not 0\n"
       "colour_map: [0, 1]\n"
       "             ^"},
      {"shift: 1.5", "shift: 0",
       "plan.yaml:17:20: tolerance.shift must be more than 0 mm, not 0\n"
       "tolerance: {shift: 0, turn: 2}\n"
       "                   ^"},
      {"turn: 2", "turn: -2",
       "plan.yaml:17:31: tolerance.turn must be more than 0 degrees, not -2\n"
       "tolerance: {shift: 1.5, turn: -2}\n"
       "                              ^"},
  });
}

TEST(PlanRefusal, NamesPassesThatCannotBe) {
  Check({
      {"name: dark, ", "",
       "plan.yaml:19:5: passes[0].name is missing\n"
       "  - {colour: \"#203050\", kind: layer}\n"
       "    ^"},
      {"name: dark", "name: first",
       "plan.yaml:19:12: passes[0].name must not be first: that is the plan's own pass\n"
       "  - {name: first, colour: \"#203050\", kind: layer}\n"
       "           ^"},
      {"kind: layer}", "kind: layer}\n  - {name: dark}",
       "plan.yaml:20:12: passes[1].name is taken already: dark\n"
       "  - {name: dark}\n"
       "           ^\n"
       "  try: give each pass its own name"},
      {"kind: layer", "kind: glase",
       "plan.yaml:19:43: passes[0].kind must be layer, key, reduction or glaze, not glase\n"
       "  - {name: dark, colour: \"#203050\", kind: glase}\n"
       "                                          ^\n"
       "  try: did you mean glaze?"},
      {"kind: layer", "opacity: clear",
       "plan.yaml:19:46: passes[0].opacity must be transparent, half or opaque, not clear\n"
       "  - {name: dark, colour: \"#203050\", opacity: clear}\n"
       "                                             ^"},
      {"kind: layer", "pulled: wet",
       "plan.yaml:19:45: passes[0].pulled must be unknown, dry or damp, not wet\n"
       "  - {name: dark, colour: \"#203050\", pulled: wet}\n"
       "                                            ^"},
      {"kind: layer", "registers_to: frist",
       "plan.yaml:19:51: passes[0].registers_to names no earlier pass: frist\n"
       "  - {name: dark, colour: \"#203050\", registers_to: frist}\n"
       "                                                  ^\n"
       "  try: did you mean first?"},
      {"kind: layer", "registers_to: dark",
       "plan.yaml:19:51: passes[0].registers_to names no earlier pass: dark\n"
       "  - {name: dark, colour: \"#203050\", registers_to: dark}\n"
       "                                                  ^\n"
       "  try: earlier here: first"},
      {"kind: layer", "plate: stone",
       "plan.yaml:19:44: passes[0].plate must be tile, block or sheet, not stone\n"
       "  - {name: dark, colour: \"#203050\", plate: stone}\n"
       "                                           ^"},
      {"kind: layer", "plate: block",
       "plan.yaml:19:5: passes[0].sites is missing\n"
       "  - {name: dark, colour: \"#203050\", plate: block}\n"
       "    ^\n"
       "  try: a block prints several sites: sites: [rows, columns]"},
      {"kind: layer", "sites: [1, 2]",
       "plan.yaml:19:44: passes[0].sites is given, but the plate is no block\n"
       "  - {name: dark, colour: \"#203050\", sites: [1, 2]}\n"
       "                                           ^\n"
       "  try: say plate: block, or leave sites out"},
      {"kind: layer", "plate: block, sites: [0, 2]",
       "plan.yaml:19:59: passes[0].sites[0] must be 1 or more, not 0\n"
       "  - {name: dark, colour: \"#203050\", plate: block, sites: [0, 2]}\n"
       "                                                          ^"},
  });
}

TEST(PlanRefusal, TakesADrawingOnlyFromItsOwnFolder) {
  const auto parsed = ParsePlan(With("tile:\n", "tile:\n  drawing: gull.svg\n"), "plan.yaml");
  ASSERT_TRUE(parsed) << parsed.error().message;
  EXPECT_EQ(parsed->plan.plates[0].drawing, "gull.svg");
  for (const char* other : {"../gull.svg", "/tmp/gull.svg", ".."}) {
    EXPECT_EQ(Refusal(With("tile:\n", std::string("tile:\n  drawing: ") + other + "\n")),
              std::string("plan.yaml:7:12: tile.drawing must be the name of a file beside this one, without a folder\n  drawing: ") + other +
                  "\n           ^\n  try: put the drawing into the same folder");
  }
}

}  // namespace
}  // namespace truepull::testing
