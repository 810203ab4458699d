// SPDX-License-Identifier: Apache-2.0
// `truepull layout`: from a tile to a plan that the other commands use.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <sstream>

#include "support/program.h"

namespace truepull::testing {
namespace {

using ::testing::HasSubstr;
using ::testing::Not;

const char* const kGull = "truepull: 1\ntitle: Gull\ntile: {outline: [[0, 0], [60, 0], [60, 45], [0, 45]]}\n";

class LayoutCommand : public ::testing::Test {
 protected:
  ProgramRun Layout(const std::string& text, std::vector<std::string> flags, const std::string& name = "tile.yaml") {
    WriteFile(folder_ / name, text);
    flags.insert(flags.begin(), {"layout", name, "--out", "out", "--force"});
    return RunTruepull(flags, folder_.path());
  }
  std::string Out(const std::string& name) { return ReadFile(folder_.path() / "out" / name); }
  TemporaryFolder folder_;
};

TEST_F(LayoutCommand, PlansTheHarbourSheet) {
  const ProgramRun run = Layout(kGull, {"--sheet", "A3", "--repeat", "half-drop", "--colours", "#3a62a8,#7b4fa0,#f0d060", "--edge-colour", "#5a3a20",
                                        "--grain", "x", "--stretch", "0.3,1.4", "--damp-every", "20", "--lesson", "25", "--skip-neighbours"});
  EXPECT_EQ(run.exit_code, 0) << run.err;
  EXPECT_THAT(run.out, HasSubstr("5 rows of 6 columns: 30 pulls; half-drop"));
  EXPECT_THAT(run.out, HasSubstr("free are 30.0 mm at the left and right, 24.8 mm at the top and bottom"));
  EXPECT_THAT(run.out, HasSubstr("Damp, the sheet should measure 421.3 x 301.2 mm"));
  EXPECT_THAT(run.out, HasSubstr("no two touching tiles match"));
  EXPECT_THAT(run.out, HasSubstr("lessons of 25 minutes"));
  EXPECT_THAT(Out("plan.yaml"), HasSubstr("stagger: {columns: 0.5}"));
  EXPECT_EQ(Out("preview.png").substr(1, 3), "PNG");
  EXPECT_EQ(Out("preview.pdf").substr(0, 5), "%PDF-");
  EXPECT_EQ(Out("pull-order.pdf").substr(0, 5), "%PDF-");
  const ProgramRun check = RunTruepull({"check", "out/plan.yaml"}, folder_.path());
  EXPECT_EQ(check.exit_code, 0) << check.out << check.err;
  // The plan can be laid out anew on another sheet.
  const ProgramRun again = Layout(Out("plan.yaml"), {"--sheet", "A4"}, "plan.yaml");
  EXPECT_EQ(again.exit_code, 0) << again.err;
  EXPECT_THAT(again.out, HasSubstr("Colours: 3"));
}

TEST_F(LayoutCommand, RefusesInPlainSentencesAndWritesNothing) {
  const auto fault = [&](std::vector<std::string> flags, const std::string& text = kGull) {
    const ProgramRun run = Layout(text, std::move(flags));
    EXPECT_EQ(run.exit_code, 1) << run.out;
    EXPECT_FALSE(std::filesystem::exists(folder_.path() / "out"));
    return run.err;
  };
  EXPECT_THAT(fault({}), HasSubstr("no sheet is given"));
  EXPECT_THAT(fault({"--sheet", "A33"}), HasSubstr("'A33' is no paper size"));
  EXPECT_THAT(fault({"--sheet", "5x7"}), HasSubstr("a sheet of 5 x 7 mm cannot be"));
  EXPECT_THAT(fault({"--sheet", "A3", "--rows", "9"}), HasSubstr("mm high, 138.0 mm more than the 267.0 mm between the margins"));
  EXPECT_THAT(fault({"--sheet", "A3", "--stretch", "0.3,1.4"}), HasSubstr("needs the direction of the grain"));
  EXPECT_THAT(fault({"--sheet", "A3", "--turn", "some"}), HasSubstr("--turn must be degrees or best"));
  EXPECT_THAT(fault({"--sheet", "A3", "--colours", "blue"}), HasSubstr("'#blue' is no colour"));
  EXPECT_THAT(fault({"--sheet", "A3", "--repeat", "brick", "--colours", "#3a62a8,#7b4fa0"}), HasSubstr("no two touching tiles match; 3 do"));
  EXPECT_THAT(fault({"--sheet", "A3"}, "truepull: 1\ntile: {outline: [[0, 0], [20, 6], [60, 0], [66, 20], [60, 45], [38, 40], [0, 45], [3, 18]]}\n"),
              HasSubstr("repeats neither by shifts nor by shifts and half turns"));
}

TEST_F(LayoutCommand, TakesTheColourMapGivenAndNamesNeighboursThatMatch) {
  const ProgramRun run = Layout(kGull, {"--sheet", "A3", "--colours", "#3a62a8,#7b4fa0", "--colour-map", "0 1"});
  EXPECT_EQ(run.exit_code, 3);
  EXPECT_THAT(run.err, HasSubstr("gives 24 pairs of touching tiles one colour, first A1 and B1"));
}

// A tile of quarter turns goes through tile, layout, simulate and read: what is read is
// where the plan says, to the measuring error.
TEST_F(LayoutCommand, AQuarterTurnTileGoesAllTheWay) {
  WriteFile(folder_ / "gull.yaml",
            "truepull: 1\ntile:\n  base: {square: 50}\n  sides:\n"
            "    - {side: 1, turn_to: 2, line: [[12, 5], [25, -3], [40, 4]], smooth: true}\n"
            "    - {side: 3, turn_to: 4, line: [[12, -4], [30, 5]], smooth: true}\n");
  const auto run = [&](std::vector<std::string> words) {
    const ProgramRun r = RunTruepull(std::move(words), folder_.path());
    EXPECT_TRUE(r.exit_code == 0 || r.exit_code == 3) << r.err;
    return r;
  };
  run({"tile", "gull.yaml", "--out", "tile"});
  // Judged anew from the written file, without the base shape.
  EXPECT_EQ(RunTruepull({"tile", "tile/tile.yaml", "--out", "tile2"}, folder_.path()).exit_code, 0);
  run({"layout", "tile/tile.yaml", "--sheet", "A4", "--margin", "10", "--colours", "#3a62a8,#c08040", "--edge-colour", "#5a3a20", "--out", "sheet"});
  run({"simulate", "--plan", "sheet/plan.yaml", "--seed", "5", "--photo", "1600x1131", "--out", "photo"});
  run({"read", "--plan", "sheet/plan.yaml", "photo/photo.jpg", "--out", "reading"});
  std::istringstream rows(ReadFile(folder_.path() / "reading" / "drift.csv"));
  std::string line;
  std::getline(rows, line);
  int printed = 0;
  double worst = 0;
  while (std::getline(rows, line)) {
    std::vector<std::string> cells;
    std::istringstream parts(line);
    for (std::string cell; std::getline(parts, cell, ',');) cells.push_back(cell);
    ASSERT_GE(cells.size(), 9u) << line;
    if (cells[2] != "printed") continue;
    ++printed;
    worst = std::max(worst, std::hypot(std::stod(cells[6]), std::stod(cells[7])));
    EXPECT_LT(std::abs(std::stod(cells[8])), 1.5) << line;
  }
  EXPECT_GE(printed, 12);
  EXPECT_LT(worst, 0.5);
  RecordProperty("worst_mm", std::to_string(worst));
}

}  // namespace
}  // namespace truepull::testing
