// SPDX-License-Identifier: Apache-2.0
// `truepull layout`: from a tile to a plan that the other commands use.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <ostream>
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
  const std::string png = Out("preview.png");  // A4 across at 6 pixels to the mm: 1782 x 1260.
  ASSERT_GT(png.size(), 24u);
  EXPECT_EQ(png.substr(1, 3), "PNG");
  EXPECT_EQ(png.substr(16, 8), std::string("\0\0\x06\xf6\0\0\x04\xec", 8));
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

TEST_F(LayoutCommand, CarriesTheDrawingFromTheTileToTheImaginedSheet) {
  WriteFile(folder_ / "gull.svg",
            "<svg xmlns='http://www.w3.org/2000/svg' width='80mm' height='60mm' viewBox='-10 -10 80 60'>"
            "<path id='outline' d='M0 0h60v45h-60z'/><polyline points='10,12 30,25 33,40'/></svg>");
  const auto run = [&](std::vector<std::string> words) { return RunTruepull(std::move(words), folder_.path()); };
  EXPECT_EQ(run({"tile", "gull.svg", "--out", "tile"}).exit_code, 0);
  EXPECT_THAT(ReadFile(folder_ / "tile/tile.yaml"), HasSubstr("drawing: \"drawing.svg\""));
  EXPECT_THAT(ReadFile(folder_ / "tile/drawing.svg"), HasSubstr("d=\"M10.0000 12.0000 L30.0000 25.0000 L33.0000 40.0000\""));
  const ProgramRun layout = run({"layout", "tile/tile.yaml", "--sheet", "A4", "--colours", "#3a62a8", "--edge-colour", "#5a3a20", "--out", "sheet"});
  EXPECT_EQ(layout.exit_code, 0) << layout.err;
  EXPECT_THAT(ReadFile(folder_ / "sheet/plan.yaml"), HasSubstr("drawing: \"drawing.svg\""));
  EXPECT_EQ(ReadFile(folder_ / "sheet/drawing.svg"), ReadFile(folder_ / "tile/drawing.svg"));
  EXPECT_EQ(run({"check", "sheet/plan.yaml"}).exit_code, 0);
  const auto simulate = [&](const char* out, std::vector<std::string> more) {
    more.insert(more.begin(), {"simulate", "--plan", "sheet/plan.yaml", "--seed", "4", "--photo", "900x700", "--out", out});
    return run(more);
  };
  EXPECT_EQ(simulate("drawn", {}).exit_code, 0);
  EXPECT_EQ(simulate("plain", {"--motif", "none"}).exit_code, 0);
  EXPECT_NE(ReadFile(folder_ / "drawn/photo.jpg"), ReadFile(folder_ / "plain/photo.jpg"));
  EXPECT_EQ(ReadFile(folder_ / "drawn/drawing.svg"), ReadFile(folder_ / "tile/drawing.svg"));
  // The reader does without it; those that need it name it.
  std::filesystem::remove(folder_ / "drawn/drawing.svg");
  const ProgramRun read = run({"read", "--plan", "drawn/plan.yaml", "drawn/photo.jpg", "--out", "read"});
  EXPECT_TRUE(read.exit_code == 0 || read.exit_code == 3) << read.err;
  const ProgramRun missing = run({"simulate", "--plan", "drawn/plan.yaml", "--seed", "4", "--out", "again"});
  EXPECT_EQ(missing.exit_code, 1);
  EXPECT_THAT(missing.err, HasSubstr("plan.yaml: its drawing drawing.svg could not be read"));
  EXPECT_EQ(run({"check", "drawn/plan.yaml"}).exit_code, 3);
}

TEST_F(LayoutCommand, TakesTheColourMapGivenAndNamesNeighboursThatMatch) {
  const ProgramRun run = Layout(kGull, {"--sheet", "A3", "--colours", "#3a62a8,#7b4fa0", "--colour-map", "0 1"});
  EXPECT_EQ(run.exit_code, 3);
  EXPECT_THAT(run.err, HasSubstr("gives 24 pairs of touching tiles one colour, first A1 and B1"));
}

struct Construction {
  const char* name;
  const char* tile;     // A tile file, or a plan with several plates.
};
void PrintTo(const Construction& c, std::ostream* out) { *out << c.name; }

// Every way of making a tile goes through tile, layout, simulate and read: what is read
// lies where the plan says, to the measuring error (no hand error was asked for). The
// plan's edge colour is rubbed on: flat colours alike in darkness that kiss without it
// are not told apart well (docs/accuracy.md).
class EveryConstruction : public LayoutCommand, public ::testing::WithParamInterface<Construction> {};

TEST_P(EveryConstruction, GoesFromTheTileToAReading) {
  const Construction& c = GetParam();
  WriteFile(folder_ / "gull.yaml", std::string("truepull: 1\n") + c.tile);
  const auto run = [&](std::vector<std::string> words) {
    const ProgramRun r = RunTruepull(std::move(words), folder_.path());
    EXPECT_TRUE(r.exit_code == 0 || r.exit_code == 3) << r.err;
    return r;
  };
  const bool plan = std::string(c.tile).find("plates:") != std::string::npos;
  if (!plan) {
    run({"tile", "gull.yaml", "--out", "tile"});
    // Judged anew from the written file, without the base shape: the same.
    run({"tile", "tile/tile.yaml", "--out", "tile2"});
    const auto turns = [&](const char* file) {  // "turns: [0, 180]"; steps differ in the last digit.
      const std::string text = ReadFile(folder_ / file);
      return text.substr(text.find("turns: ["), text.find(']', text.find("turns: [")) - text.find("turns: ["));
    };
    EXPECT_EQ(turns("tile/tile.yaml"), turns("tile2/tile.yaml"));
  }
  run({"layout", plan ? "gull.yaml" : "tile/tile.yaml", "--sheet", "A4", "--margin", "8", "--colours", "#3a62a8,#c08040,#a03050", "--edge-colour", "#5a3a20", "--out", "sheet"});
  run({"simulate", "--plan", "sheet/plan.yaml", "--seed", "5", "--photo", "1600x1200", "--ring", "2", "--out", "photo"});
  run({"read", "--plan", "sheet/plan.yaml", "photo/photo.jpg", "--out", "reading"});
  std::istringstream rows(ReadFile(folder_ / "reading/drift.csv"));
  std::string line;
  std::getline(rows, line);
  int printed = 0;
  while (std::getline(rows, line)) {
    std::vector<std::string> cells;
    std::istringstream parts(line);
    for (std::string cell; std::getline(parts, cell, ',');) cells.push_back(cell);
    ASSERT_GE(cells.size(), 9u) << line;
    EXPECT_EQ(cells[2], "printed") << line;
    if (cells[2] != "printed") continue;
    ++printed;
    EXPECT_LT(std::hypot(std::stod(cells[6]), std::stod(cells[7])), 0.5) << line;
    EXPECT_LT(std::abs(std::stod(cells[8])), 1.0) << line;
  }
  EXPECT_GE(printed, 4);
}

INSTANTIATE_TEST_SUITE_P(
    Made, EveryConstruction,
    ::testing::Values(
        Construction{"shifts", "tile: {base: {rectangle: [60, 45]}, sides: [{side: 1, shift_to: 3, line: [[15, 5], [40, -4]]}, {side: 2, shift_to: 4, line: [[12, 4], [30, -3]]}]}\n"},
        Construction{"half_turns", "tile: {base: {corners: [[0, 0], [80, 5], [25, 65]]}, sides: [{side: 1, half_turn: true, line: [[12, 4], [25, -3]]}, {side: 2, half_turn: true, line: [[15, 4]]}, {side: 3, half_turn: true, line: [[10, -4], [22, 3]]}]}\n"},
        Construction{"quarter_turns", "tile: {base: {square: 50}, sides: [{side: 1, turn_to: 2, line: [[12, 5], [25, -3], [40, 4]], smooth: true}, {side: 3, turn_to: 4, line: [[12, -4], [30, 5]], smooth: true}]}\n"},
        Construction{"sixty_degrees", "tile: {base: {triangle: 80}, sides: [{side: 1, turn_to: 2, line: [[15, 5], [55, -4]]}, {side: 3, half_turn: true, line: [[12, 4]]}]}\n"},
        Construction{"third_turns", "tile: {base: {hexagon: 36}, sides: [{side: 1, turn_to: 2, line: [[9, 3], [25, -3]]}, {side: 3, turn_to: 4, line: [[9, 3], [25, -4]]}, {side: 5, turn_to: 6, line: [[12, 4]]}]}\n"},
        Construction{"glide", "tile: {base: {rectangle: [60, 45]}, sides: [{side: 1, glide_to: 3, line: [[15, 6], [40, -4]]}, {side: 2, shift_to: 4, line: [[12, 4]]}]}\n"},
        Construction{"two_plates",
                     "sheet: {size: A4}\nplates:\n  octagon: {outline: [[-15, -36.21320344], [15, -36.21320344], [36.21320344, -15], [36.21320344, 15], [15, 36.21320344], [-15, 36.21320344], [-36.21320344, 15], [-36.21320344, -15]]}\n"
                     "  square: {outline: [[0, -21.21320344], [21.21320344, 0], [0, 21.21320344], [-21.21320344, 0]]}\n"
                     "lattice: {origin: [50, 50], across: [72.42640687, 0], down: [0, 72.42640687], rows: 1, columns: 1, cell: [{plate: octagon}, {plate: square, at: [36.21320344, 36.21320344]}]}\n"}),
    [](const auto& made) { return std::string(made.param.name); });

}  // namespace
}  // namespace truepull::testing
