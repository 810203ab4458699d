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

TEST_F(TileCommand, RefusesAnOctagonAndWritesNothing) {
  const ProgramRun run = Run("truepull: 1\ntile: {base: {regular: {sides: 8, side: 30}}, sides: [{side: 1, half_turn: true}]}\n");
  EXPECT_EQ(run.exit_code, 1);
  EXPECT_THAT(run.err, HasSubstr("135.000 degrees"));
  EXPECT_THAT(run.err, HasSubstr("two plates"));
  EXPECT_FALSE(std::filesystem::exists(folder_.path() / "out"));
}

}  // namespace
}  // namespace truepull::testing
