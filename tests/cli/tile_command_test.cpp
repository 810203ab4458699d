// SPDX-License-Identifier: Apache-2.0
// `truepull tile`: from files to the tile, its verdict and its template.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "support/program.h"

namespace truepull::testing {
namespace {

using ::testing::HasSubstr;

class TileCommand : public ::testing::Test {
 protected:
  ProgramRun Run(const std::string& text, const std::string& name = "gull.yaml") {
    WriteFile(folder_ / name, text);
    return RunTruepull({"tile", name, "--out", "out", "--force"}, folder_.path());
  }
  std::string Out(const std::string& name) { return ReadFile(folder_.path() / "out" / name); }
  TemporaryFolder folder_;
};

TEST_F(TileCommand, BuildsATileWhoseTurnsMakeAPattern) {
  const ProgramRun run = Run(
      "truepull: 1\ntile:\n  base: {square: 50}\n  sides:\n"
      "    - {side: 1, turn_to: 2, line: [[12, 5], [25, -3], [40, 4]], smooth: true}\n"
      "    - {side: 3, turn_to: 4, line: [[12, -4], [30, 5]], smooth: true}\n");
  EXPECT_EQ(run.exit_code, 0) << run.err;
  EXPECT_THAT(run.out, HasSubstr("4 tiles a cell"));
  EXPECT_THAT(Out("tile.yaml"), HasSubstr("turns: [0, 90, -90, 180]"));
  EXPECT_EQ(Out("template.pdf").substr(0, 5), "%PDF-");
  EXPECT_THAT(Out("template-mirrored.svg"), HasSubstr("MIRRORED"));
  EXPECT_THAT(Out("pattern.svg"), HasSubstr("<svg"));
  const ProgramRun check = RunTruepull({"check", "out/tile.yaml"}, folder_.path());
  EXPECT_EQ(check.exit_code, 0) << check.err;
  EXPECT_THAT(check.out, HasSubstr("a tile, without fault"));
}

TEST_F(TileCommand, GivesThreeAndThePlaceWhereItDoesNotRepeat) {
  const ProgramRun run = Run("truepull: 1\ntile: {outline: [[0, 0], [20, 6], [60, 0], [66, 20], [60, 45], [38, 40], [0, 45], [3, 18]]}\n");
  EXPECT_EQ(run.exit_code, 3);
  EXPECT_THAT(run.err, HasSubstr("it repeats neither by shifts nor by shifts and half turns"));
  EXPECT_THAT(run.err, HasSubstr(" mm "));
  EXPECT_THAT(run.err, HasSubstr(" side, "));
  EXPECT_THAT(Out("tile.yaml"), HasSubstr("repeats: {shifts: false, half_turns: false}"));
  EXPECT_THAT(Out("pattern.svg"), HasSubstr("The nearest way to fit them together, which does not close"));
}

TEST_F(TileCommand, ReadsADrawing) {
  const ProgramRun run = Run(
      "<svg xmlns='http://www.w3.org/2000/svg' width='100mm' height='80mm' viewBox='0 0 200 160'>"
      "<path d='M20 20c40 20 80 -20 120 0v90c-40 -20 -80 20 -120 0z'/></svg>", "gull.svg");
  EXPECT_EQ(run.exit_code, 0) << run.err;
  EXPECT_THAT(run.out, HasSubstr("across (60.00, 0.00) mm, down (0.00, 45.00) mm"));
}

TEST_F(TileCommand, ClosesAnOutlineThatIsNearlyRight) {
  // The right side's middle point is 0.3 mm off its partner's.
  const ProgramRun run = Run("truepull: 1\ntile: {outline: [[0, 0], [15, 7], [35, -4], [60, 0], [65.3, 12], [57, 30], [60, 45], [35, 41], [15, 52], [0, 45], [-3, 30], [5, 12]]}\n");
  EXPECT_EQ(run.exit_code, 3);
  EXPECT_THAT(run.err, HasSubstr("the outline was closed so that it repeats by shifts"));
  EXPECT_THAT(Out("tile.yaml"), HasSubstr("repeats: {shifts: true"));
}

TEST_F(TileCommand, PutsTheDrawingOnBothPagesOfTheTemplate) {
  const std::string svg =
      "<svg xmlns='http://www.w3.org/2000/svg' width='100mm' height='80mm' viewBox='0 0 100 80'>"
      "<path id='outline' d='M10 10h60v45h-60z'/><polyline points='20,20 30,25 33,40'/></svg>";
  const ProgramRun run = Run(svg, "gull.svg");
  EXPECT_EQ(run.exit_code, 0) << run.err;
  EXPECT_THAT(Out("template.svg"), HasSubstr("<path class=\"drawing\" d=\"M20 20 L30 25 L33 40\""));
  // Mirrored about the reference point: x -> -x.
  EXPECT_THAT(Out("template-mirrored.svg"), HasSubstr("<path class=\"drawing\" d=\"M-20 20 L-30 25 L-33 40\""));
  EXPECT_EQ(Out("tile.png").substr(1, 3), "PNG");
  // The same, the drawing in a file of its own.
  WriteFile(folder_ / "lines.svg", svg);
  const ProgramRun apart = Run("truepull: 1\ntile: {outline: [[10, 10], [70, 10], [70, 55], [10, 55]], drawing: lines.svg}\n");
  EXPECT_EQ(apart.exit_code, 0) << apart.err;
  EXPECT_THAT(Out("template.svg"), HasSubstr("<path class=\"drawing\" d=\"M20 20 L30 25 L33 40\""));
}

TEST_F(TileCommand, RefusesBadInputInPlainSentencesAndWritesNothing) {
  const auto fault = [&](const std::string& text, const std::string& name = "gull.yaml") {
    const ProgramRun run = Run(text, name);
    EXPECT_EQ(run.exit_code, 1) << run.out;
    EXPECT_FALSE(std::filesystem::exists(folder_.path() / "out"));
    return run.err;
  };
  const auto outline = [](const std::string& points) { return "truepull: 1\ntile: {outline: [" + points + "]}\n"; };
  EXPECT_THAT(fault(outline("[0, 0], [60, 45], [60, 0], [0, 45]")), HasSubstr("so the outline crosses itself"));
  EXPECT_THAT(fault(outline("[0, 0], [60, 0], [60, 0], [60, 45], [0, 45]")), HasSubstr("tile.outline[2] is the point before it again: an edge of no length"));
  EXPECT_THAT(fault(outline("[0, 0], [60, 0]")), HasSubstr("tile.outline needs at least 3 points, not 2"));
  const std::string head = "<svg xmlns='http://www.w3.org/2000/svg' width='100mm' height='80mm' viewBox='0 0 100 80'>";
  EXPECT_THAT(fault("<svg><path d='M0 0h9v9z'/></svg>", "gull.svg"), HasSubstr("gull.svg: does not say how large it is in mm"));
  EXPECT_THAT(fault(head + "<path d='M10 10h60v45h-60v-40'/></svg>", "gull.svg"), HasSubstr("the outline's ends do not meet"));
  EXPECT_THAT(fault(head + "<path d='M10 10h60v45l-60 -60z'/></svg>", "gull.svg"), HasSubstr("meets itself"));
  // Lines of two sides that cross one another, and a side whose partner has another length.
  EXPECT_THAT(fault("truepull: 1\ntile: {base: {square: 20}, sides: [{side: 1, shift_to: 3, line: [[10, -15]]}, {side: 2, shift_to: 4, line: [[10, -15]]}]}\n"), HasSubstr("cross"));
  EXPECT_THAT(fault("truepull: 1\ntile: {base: {rectangle: [30, 20]}, sides: [{side: 1, turn_to: 2}, {side: 3, turn_to: 4}]}\n"), HasSubstr("mm"));
  EXPECT_THAT(fault("truepull: 1\ntile: {outline: [[0, 0], [60, 0], [60, 45]], drawing: none.svg}\n"), HasSubstr("none.svg"));
}

TEST_F(TileCommand, RefusesAnOctagonAndWritesNothing) {
  const ProgramRun run = Run("truepull: 1\ntile: {base: {regular: {sides: 8, side: 30}}, sides: [{side: 1, half_turn: true}]}\n");
  EXPECT_EQ(run.exit_code, 1);
  EXPECT_THAT(run.err, HasSubstr("135.000 degrees"));
  EXPECT_THAT(run.err, HasSubstr("two plates"));
  EXPECT_FALSE(std::filesystem::exists(folder_.path() / "out"));
}

}  // namespace
}  // namespace truepull::testing
