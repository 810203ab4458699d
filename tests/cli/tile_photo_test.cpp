// SPDX-License-Identifier: Apache-2.0
// `truepull tile` from photos, and on a class's tiles at once.
#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <sstream>

#include "support/program.h"
#include "support/tile_photos.h"
#include "tiling/handed_in.h"
#include "truepull/tile_text.h"

namespace truepull::testing {
namespace {

using ::testing::HasSubstr;
using ::testing::Not;
using testing_shapes::Cut;
using testing_shapes::HandedIn;
using testing_shapes::MakeHandedIn;
using testing_shapes::ShiftTile;

Outline Centred(Outline outline) {
  const Point middle = Centroid(outline);
  for (Point& p : outline) p = p - middle;
  return outline;
}

Outline HandCutGull(unsigned seed) {
  std::mt19937 random(seed);
  for (;;) {
    const Outline drawn = ShiftTile({61, 3}, {-6, 44}, {9, 7}, 12, random);
    if (FindWeakPlaces(drawn).empty()) return Centred(Cut(drawn, 0.08, random));
  }
}

Outline Mirrored(Outline outline) {
  for (Point& p : outline) p.x = -p.x;
  std::reverse(outline.begin(), outline.end());
  return outline;
}

Outline TableOf(const std::string& csv) {
  Outline outline;
  std::istringstream lines(csv);
  std::string line;
  std::getline(lines, line);
  while (std::getline(lines, line)) outline.push_back({std::stod(line), std::stod(line.substr(line.find(',') + 1))});
  return outline;
}

class TilePhotoCommand : public ::testing::Test {
 protected:
  // Lays tiles on a sheet and photographs them.
  void Photograph(const std::string& name, const std::vector<LaidTile>& tiles, double width, double height, int width_px, int height_px, std::uint64_t seed = 3) {
    const TileLook look;
    WriteFile(folder_ / name, TilePhoto(TilesOnSheet(width, height, tiles, look), PhoneShot(seed, width_px, height_px, look)));
  }
  ProgramRun Run(std::vector<std::string> arguments) {
    arguments.insert(arguments.begin(), "tile");
    arguments.insert(arguments.end(), {"--out", "out", "--force"});
    return RunTruepull(arguments, folder_.path());
  }
  std::string Out(const std::string& name) { return ReadFile(folder_.path() / "out" / name); }
  Outline OutlineOut(const std::string& name = "tile.yaml") {
    const auto tile = ParseTile(Out(name), name);
    if (!tile) throw std::runtime_error(tile.error().message);
    return tile->outline;
  }
  TemporaryFolder folder_;
};

TEST_F(TilePhotoCommand, TracesAndClosesAHandCutTile) {
  const std::vector<LaidTile> laid{{HandCutGull(5), {{100, 150}, 0.2}}};
  Photograph("gull.jpg", laid, 210, 297, 1500, 2000);
  const ProgramRun run = Run({"gull.jpg", "--seen", "paper", "--sheet", "A4"});
  EXPECT_EQ(run.exit_code, 0) << run.err;
  EXPECT_THAT(run.out, HasSubstr("the cut was off by"));
  EXPECT_THAT(run.out, HasSubstr(" side, "));
  EXPECT_THAT(run.out, HasSubstr("mm "));
  const Outline truth = OnTheSheet(laid)[0];
  const OutlineError traced = ErrorOf(TableOf(Out("traced.csv")), truth);
  fmt::print("traced within {:.3f} mm RMS, worst {:.3f}\n", traced.rms_mm, traced.worst_mm);
  EXPECT_LT(traced.rms_mm, 0.15);
  // The closed one repeats to a millionth of a millimetre, as it stands in the file.
  TilingOptions strict;
  strict.exact_mm = 1e-6;
  const auto verdict = JudgeOutline(OutlineOut(), strict);
  ASSERT_TRUE(verdict.has_value());
  EXPECT_TRUE(verdict->shifts.has_value());
  EXPECT_THAT(Out("tile.yaml"), HasSubstr("repeats: {shifts: true"));
  EXPECT_THAT(Out("tile.yaml"), HasSubstr("traced:\n  photo: \"gull.jpg\"\n  seen: paper"));
  // The drawing is on both pages.
  for (const char* page : {"template.svg", "template-mirrored.svg"}) EXPECT_THAT(Out(page), HasSubstr("<image ")) << page;
  EXPECT_EQ(Out("tile.png").substr(1, 3), "PNG");
  // The file is read again as any other, and laid out.
  EXPECT_EQ(RunTruepull({"check", "out/tile.yaml"}, folder_.path()).exit_code, 0);
  const ProgramRun layout = RunTruepull({"layout", "out/tile.yaml", "--sheet", "A3", "--out", "sheet"}, folder_.path());
  EXPECT_EQ(layout.exit_code, 0) << layout.err;
}

TEST_F(TilePhotoCommand, MirrorsAPlateSeenFromItsPrintingFace) {
  Photograph("plate.jpg", {{HandCutGull(6), {{100, 150}, 0}}}, 210, 297, 1500, 2000);
  EXPECT_EQ(Run({"plate.jpg", "--seen", "plate-back", "--sheet", "210x297"}).exit_code, 0);
  const Outline back = Centred(OutlineOut());
  const ProgramRun face = Run({"plate.jpg", "--seen", "printing-face", "--sheet", "210x297"});
  EXPECT_EQ(face.exit_code, 0) << face.err;
  EXPECT_THAT(face.out, HasSubstr("left and right are exchanged"));
  const Outline mirrored = Centred(OutlineOut());
  // Closing settles corners within the cut's own error, not alike in both.
  EXPECT_LT(ErrorOf(Mirrored(mirrored), back).rms_mm, 0.1);
  EXPECT_GT(ErrorOf(mirrored, back).rms_mm, 1);  // It is not its own mirror image.
}

TEST_F(TilePhotoCommand, TakesTheMeanOfSeveralPhotosOfOneTile) {
  const Outline gull = HandCutGull(5);
  Photograph("one.jpg", {{gull, {{100, 150}, 0.2}}}, 210, 297, 1200, 1600, 3);
  Photograph("two.jpg", {{gull, {{110, 140}, -1.3}}}, 210, 297, 1200, 1600, 4);
  Photograph("other.jpg", {{HandCutGull(6), {{100, 150}, 0}}}, 210, 297, 1200, 1600, 5);
  const ProgramRun run = Run({"one.jpg", "two.jpg", "--one-tile", "--seen", "paper", "--sheet", "A4"});
  EXPECT_EQ(run.exit_code, 0) << run.err;
  EXPECT_THAT(run.out, HasSubstr("two.jpg: its edge is 0.0"));
  EXPECT_THAT(Out("tile.yaml"), HasSubstr("photo: \"one.jpg, two.jpg\""));
  const ProgramRun wrong = Run({"one.jpg", "other.jpg", "--one-tile", "--seen", "paper", "--sheet", "A4"});
  EXPECT_EQ(wrong.exit_code, 1);
  EXPECT_THAT(wrong.err, HasSubstr("other.jpg: its tile is"));
}

TEST_F(TilePhotoCommand, RefusesInPlainSentencesAndWritesNothing) {
  Photograph("plain.jpg", {}, 210, 297, 900, 1200);
  const auto fault = [&](std::vector<std::string> arguments) {
    const ProgramRun run = Run(std::move(arguments));
    EXPECT_EQ(run.exit_code, 1) << run.out;
    EXPECT_FALSE(std::filesystem::exists(folder_.path() / "out"));
    return run.err;
  };
  EXPECT_THAT(fault({"plain.jpg", "--seen", "paper", "--sheet", "A4"}), HasSubstr("plain.jpg: found no tile on the sheet"));
  EXPECT_THAT(fault({"plain.jpg", "--sheet", "A4"}), HasSubstr("a plate's two sides are mirror images"));
  EXPECT_THAT(fault({"plain.jpg", "--seen", "paper"}), HasSubstr("the size of the sheet that the tile lies on is not given"));
  EXPECT_THAT(fault({"plain.jpg", "--seen", "paper", "--sheet", "A44"}), HasSubstr("'A44' is no paper size"));
  WriteFile(folder_ / "broken.jpg", "no photo");
  EXPECT_THAT(fault({"broken.jpg", "--seen", "paper", "--sheet", "A4"}), HasSubstr("broken.jpg"));
  std::filesystem::create_directory(folder_ / "empty");
  EXPECT_THAT(fault({"empty"}), HasSubstr("empty: holds no tile"));
}

TEST_F(TilePhotoCommand, GivesSeveralTilesOfOnePhotoCodes) {
  std::vector<LaidTile> laid;
  for (int k = 0; k < 6; ++k) laid.push_back({HandCutGull(static_cast<unsigned>(10 + k)), {{75.0 + 130 * (k % 3), 80.0 + 130 * (k / 3)}, 0.3 * k}});
  Photograph("class.jpg", laid, 420, 297, 2400, 1800);
  const ProgramRun run = Run({"class.jpg", "--seen", "paper", "--sheet", "A3"});
  EXPECT_EQ(run.exit_code, 0) << run.err << run.out;
  EXPECT_THAT(run.out, HasSubstr("6 of 6 tiles repeat"));
  for (int k = 0; k < 6; ++k) {
    const std::string code = fmt::format("T{:02}", k + 1);
    EXPECT_THAT(Out("verdicts.html"), HasSubstr("<h2>" + code + "</h2>"));
    // In reading order: the first is the first laid.
    const auto tile = ParseTile(Out(code + ".yaml"), code);
    ASSERT_TRUE(tile.has_value());
    EXPECT_LT(ErrorOf(Centred(tile->outline), Centred(OnTheSheet(laid)[static_cast<std::size_t>(k)])).rms_mm, 0.2) << code;
  }
  EXPECT_EQ(Out("templates.pdf").substr(0, 5), "%PDF-");
}

// The class of closing_test, through the program: a folder of thirty outlines.
TEST_F(TilePhotoCommand, NamesTheSixOfThirtyThatFailToClose) {
  std::mt19937 random(30);
  std::vector<int> faulty;
  std::filesystem::create_directory(folder_ / "class");
  for (int number = 0; number < 30; ++number) {
    const HandedIn in = MakeHandedIn(number, random);
    if (in.fault != testing_shapes::Fault::kNone) faulty.push_back(number);
    TileReport report;
    report.outline = in.outline;
    WriteFile(folder_ / fmt::format("class/tile-{:02}.yaml", number), WriteTile(report));
  }
  ASSERT_EQ(faulty.size(), 6u);
  const ProgramRun run = Run({"class"});
  EXPECT_EQ(run.exit_code, 3) << run.err;
  EXPECT_THAT(run.out, HasSubstr("24 of 30 tiles repeat"));
  std::istringstream lines(Out("verdicts.csv"));
  std::string line;
  std::getline(lines, line);
  EXPECT_EQ(line, "code,from,state,how,worst_mm,worst");
  for (int number = 0; std::getline(lines, line); ++number) {
    SCOPED_TRACE(line);
    const bool bad = std::find(faulty.begin(), faulty.end(), number) != faulty.end();
    EXPECT_THAT(line, HasSubstr(fmt::format("T{:02},tile-{:02}.yaml,{},", number + 1, number, bad ? "does not repeat" : "closed")));
    if (!bad) continue;
    EXPECT_THAT(line, HasSubstr("top side"));
    EXPECT_THAT(line, HasSubstr(" mm "));
    EXPECT_THAT(run.err, HasSubstr(fmt::format("T{:02} (tile-{:02}.yaml): does not repeat:", number + 1, number)));
  }
}

TEST_F(TilePhotoCommand, GoesOnWhereOneOfAFolderCannotBeUsed) {
  std::filesystem::create_directory(folder_ / "class");
  WriteFile(folder_ / "class/a.yaml", "truepull: 1\ntile: {outline: [[0, 0], [60, 0], [60, 45], [0, 45]]}\n");
  WriteFile(folder_ / "class/b.yaml", "truepull: 1\ntile: {outline: [[0, 0], [60, 45], [60, 0], [0, 45]]}\n");
  const ProgramRun run = Run({"class"});
  EXPECT_EQ(run.exit_code, 3);
  EXPECT_THAT(run.err, HasSubstr("T02 (b.yaml): unusable: "));
  EXPECT_THAT(Out("verdicts.csv"), HasSubstr("T01,a.yaml,repeats,by shifts,,"));
  EXPECT_THAT(Out("verdicts.csv"), HasSubstr("T02,b.yaml,unusable,"));
}

}  // namespace
}  // namespace truepull::testing
