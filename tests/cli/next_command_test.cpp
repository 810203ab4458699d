// SPDX-License-Identifier: Apache-2.0
// `truepull next` through the program: exit status, streams, files.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <fmt/format.h>

#include <algorithm>

#include "support/harbour_plan.h"
#include "support/program.h"
#include "support/sheets.h"
#include "truepull/drift.h"
#include "truepull/plan_text.h"
#include "truepull/reading_text.h"

namespace truepull::testing {
namespace {

using ::testing::HasSubstr;
using ::testing::Not;
namespace fs = std::filesystem;

const std::string kPulledDamp = With("kind: layer}", "kind: layer, pulled: damp}");

// A reading of the harbour plan, every site printed where it should be; damp in the photo and at the pull.
Reading TrueReading(const std::string& plan_text = kPulledDamp) {
  Reading reading;
  reading.plan = ParsePlan(plan_text, "plan.yaml")->plan;
  reading.sheet = ReadingAtIdeal(reading.plan);
  reading.sheet.state = SheetState::kDamp;
  reading.photo_name = "sheet.jpg";
  reading.sheet.photo_width_px = 4000;
  reading.sheet.photo_height_px = 3000;
  return reading;
}

std::string Text(const Reading& reading) { return WriteReading(reading, MeasureDrift(reading.plan, reading.sheet)); }

bool IsEmptyOrAbsent(const fs::path& folder) { return !fs::exists(folder) || fs::is_empty(folder); }

TEST(NextCommand, PlacesATrueSheetAndIsDone) {
  const TemporaryFolder folder;
  WriteFile(folder / "reading.yaml", Text(TrueReading()));
  const ProgramRun run = RunTruepull({"next", "reading.yaml", "--out", "out"}, folder.path());
  EXPECT_EQ(run.exit_code, 0) << run.err;
  EXPECT_EQ(run.err, "");
  EXPECT_THAT(run.out, HasSubstr("30 to pull, 0 to strengthen, 0 to look at, 0 to leave"));
  EXPECT_THAT(run.out, HasSubstr("print at 100 %, no fitting"));
  EXPECT_THAT(run.out, HasSubstr("FOR THE SHEET DAMP"));
  for (const char* name : {"placements.csv", "seams.csv", "pull-order.pdf", "guide.pdf", "guide.svg"}) EXPECT_TRUE(fs::exists(folder / "out" / name)) << name;
  EXPECT_THAT(ReadFile(folder / "out/placements.csv"), HasSubstr("\n1,2,pull,150.0000,69.0000,0.0000,0.0000,0.0000,0.0000,9,0.0000,\n"));
}

TEST(NextCommand, DrawsTheFirstPassFromAPlanAlone) {
  const TemporaryFolder folder;
  WriteFile(folder / "plan.yaml", kHarbourPlan);
  const ProgramRun run = RunTruepull({"next", "--plan", "plan.yaml", "--out", "out"}, folder.path());
  EXPECT_EQ(run.exit_code, 0) << run.err;
  EXPECT_THAT(run.out, HasSubstr("the first pass, 30 sites at their ideal places"));
  EXPECT_THAT(ReadFile(folder / "out/placements.csv"), HasSubstr("\n4,5,pull,330.0000,204.0000,0.0000,0.0000,0.0000,0.0000,"));
  EXPECT_THAT(ReadFile(folder / "out/guide.svg"), HasSubstr("FIRST PASS, AS PLANNED"));
}

TEST(NextCommand, GivesThreeForWhatNeedsALookUntilItIsAccepted) {
  const TemporaryFolder folder;
  Reading reading = TrueReading();
  reading.sheet.sites[7].state = SiteState::kMissing;   // B2
  reading.sheet.sites[12].state = SiteState::kWeak;     // C1
  reading.sheet.sites[20].found.at.x += 3;              // D3
  WriteFile(folder / "reading.yaml", Text(reading));
  const ProgramRun run = RunTruepull({"next", "reading.yaml", "--out", "out"}, folder.path());
  EXPECT_EQ(run.exit_code, 3);
  EXPECT_THAT(run.err, HasSubstr("B2: no impression found"));
  EXPECT_THAT(run.err, HasSubstr("C1: weak impression"));
  EXPECT_THAT(run.err, HasSubstr("D3: 3.0 mm and 0.0 degrees from its ideal place (tolerance 1.5 mm, 2 degrees)"));
  WriteFile(folder / "words.yaml",
            "truepull: 1\nsites:\n  - {site: B2, action: leave, reason: kept empty}\n"
            "  - {site: C1, accepted: true}\n  - {row: 3, column: 2, accepted: true}\n");
  const ProgramRun accepted =
      RunTruepull({"next", "reading.yaml", "--corrections", "words.yaml", "--out", "out"}, folder.path());
  EXPECT_EQ(accepted.exit_code, 0) << accepted.err;
  EXPECT_THAT(ReadFile(folder / "out/placements.csv"), HasSubstr("\n1,1,leave,"));
  EXPECT_THAT(ReadFile(folder / "out/guide.svg"), HasSubstr("B2, the printer's word: kept empty"));
}

TEST(NextCommand, MovesPlacesToADampSheet) {
  const TemporaryFolder folder;
  Reading reading = TrueReading(With("  height: 297\n",
                                     "  height: 297\n  grain: x\n  stretch: {along_grain: 0.2, across_grain: 1.4}\n"));
  reading.sheet.state = SheetState::kDry;
  WriteFile(folder / "reading.yaml", Text(reading));
  const ProgramRun run = RunTruepull({"next", "reading.yaml", "--pull", "damp", "--out", "out"}, folder.path());
  EXPECT_EQ(run.exit_code, 0) << run.err;
  EXPECT_THAT(run.out, HasSubstr("FOR THE SHEET DAMP"));
  // A1's middle (60, 46.5) goes to (60.12, 47.151); its corner lies 30 and 22.5 before.
  EXPECT_THAT(ReadFile(folder / "out/placements.csv"), HasSubstr("\n0,0,pull,30.1200,24.6510,0.0000,0.0000,0.0000,0.0000,1,0.0000,\n"));
  EXPECT_THAT(ReadFile(folder / "out/guide.svg"), HasSubstr("the sheet should measure 420.8 x 301.2"));
}

// One tile of thirty lies 1 mm too far right: seams are judged by what is written of them.
TEST(NextCommand, FavoursRegisterFitLatticeOrAShareOfBoth) {
  const TemporaryFolder folder;
  Reading reading = TrueReading();
  reading.sheet.sites[8].found.at.x += 1;  // B3
  WriteFile(folder / "reading.yaml", Text(reading));
  const auto next = [&](const std::string& favour) {
    const ProgramRun run = RunTruepull({"next", "reading.yaml", "--favour", favour, "--out", "out"}, folder.path());
    EXPECT_EQ(run.exit_code, 0) << run.err;
    return std::pair(ReadFile(folder / "out/placements.csv"), ReadFile(folder / "out/seams.csv"));
  };
  const auto [on_register, seams] = next("register");
  EXPECT_THAT(on_register, HasSubstr("\n1,2,pull,151.0000,69.0000,0.0000,1.0000,0.0000,0.0000,9,0.0000,\n"));
  // The gap before it and the overlap behind it, found and in register; even at the fit end.
  EXPECT_THAT(seams, HasSubstr("\n1,1,1,2,1.0000,1.0000,0.0000,1.0000,1.0000,1.0000,"));
  EXPECT_THAT(seams, HasSubstr("\n1,2,1,3,-1.0000,-1.0000,0.0000,-1.0000,-1.0000,-1.0000,"));
  EXPECT_EQ(std::count(seams.begin(), seams.end(), '\n'), 1 + 5 * 5 + 4 * 6);
  EXPECT_EQ(next("0").first, on_register);
  const auto fit = next("fit");
  EXPECT_EQ(next("1").first, fit.first);
  // The lattice as one piece, moved by a thirtieth of the one tile's millimetre.
  EXPECT_THAT(fit.first, HasSubstr("\n1,2,pull,150.03"));
  EXPECT_THAT(next("lattice").first, HasSubstr("\n1,2,pull,150.0000,69.0000,0.0000,0.0000,0.0000,0.0000,9,1.0000,\n"));
  const auto middle = next("0.5").first;
  EXPECT_NE(middle, on_register);
  EXPECT_NE(middle, fit.first);
  const ProgramRun bad = RunTruepull({"next", "reading.yaml", "--favour", "1.5", "--out", "bad"}, folder.path());
  EXPECT_EQ(bad.exit_code, 2);
  EXPECT_THAT(bad.err, HasSubstr("say register, fit, lattice, or a number from 0 (register) to 1 (fit)"));
  EXPECT_FALSE(fs::exists(folder / "bad"));
}

TEST(NextCommand, SaysWhenDampnessIsNotKnownAndTakesTicksForIt) {
  const TemporaryFolder folder;
  Reading reading = TrueReading(With("  height: 297\n", "  height: 297\n  grain: y\n"));  // pulled: not said.
  WriteFile(folder / "reading.yaml", Text(reading));
  const ProgramRun run = RunTruepull({"next", "reading.yaml", "--out", "out"}, folder.path());
  EXPECT_EQ(run.exit_code, 3);
  EXPECT_THAT(run.err, HasSubstr("NOT CORRECTED FOR DAMPNESS: It was not said whether the sheet will be dry or damp at the pull."));
  EXPECT_THAT(run.err, HasSubstr("measure two ticks each way and give --ticks"));
  EXPECT_THAT(ReadFile(folder / "out/guide.svg"), HasSubstr("NOT CORRECTED FOR DAMPNESS"));
  const ProgramRun ticks =
      RunTruepull({"next", "reading.yaml", "--ticks", "across=202.6,along=200.3", "--out", "ticks"}, folder.path());
  EXPECT_EQ(ticks.exit_code, 0) << ticks.err;
  // Across the grain is x: the middle (60, 46.5) of A1 goes to (60.78, 46.57).
  EXPECT_THAT(ReadFile(folder / "ticks/placements.csv"), HasSubstr("\n0,0,pull,30.7800,24.0697,"));
  EXPECT_THAT(ReadFile(folder / "ticks/guide.svg"), HasSubstr("FOR THE SHEET AS MEASURED"));
  const ProgramRun wild =
      RunTruepull({"next", "reading.yaml", "--ticks", "across=218,along=200", "--out", "wild"}, folder.path());
  EXPECT_EQ(wild.exit_code, 1);
  EXPECT_THAT(wild.err, HasSubstr("would be 9 % of stretch; paper does not grow by more than 5 %"));
  EXPECT_FALSE(fs::exists(folder / "wild"));
  EXPECT_EQ(RunTruepull({"next", "reading.yaml", "--ticks", "sideways=3", "--out", "wild"}, folder.path()).exit_code, 2);
}

TEST(NextCommand, FinishesASheetThatTheBellBrokeOff) {
  const TemporaryFolder folder;
  Reading reading = TrueReading();
  for (std::size_t i = 14; i < 30; ++i) reading.sheet.sites[i].state = SiteState::kMissing;
  WriteFile(folder / "reading.yaml", Text(reading));
  const ProgramRun run =
      RunTruepull({"next", "reading.yaml", "--finish", "--pull", "damp", "--out", "out"}, folder.path());
  EXPECT_EQ(run.exit_code, 0) << run.err;
  EXPECT_THAT(run.out, HasSubstr("16 to pull, 0 to strengthen, 0 to look at, 14 to leave"));
  const std::string csv = ReadFile(folder / "out/placements.csv");
  EXPECT_THAT(csv, HasSubstr("\n2,1,leave,90.0000,114.0000,0.0000,0.0000,0.0000,0.0000,,0.0000,printed\n"));
  EXPECT_THAT(csv, HasSubstr("\n2,2,pull,150.0000,114.0000,"));
  EXPECT_THAT(csv, HasSubstr("not yet printed; the place fits its neighbours"));
  EXPECT_THAT(ReadFile(folder / "out/guide.svg"), HasSubstr("Not yet printed, to be pulled where it is drawn: C3"));
}

TEST(NextCommand, WorksOutATrapBeforeAnythingIsPrinted) {
  const TemporaryFolder folder;
  WriteFile(folder / "plan.yaml", kHarbourPlan);
  const ProgramRun run = RunTruepull({"next", "--plan", "plan.yaml", "--spread", "0.5", "--out", "out"}, folder.path());
  EXPECT_EQ(run.exit_code, 0) << run.err;
  EXPECT_THAT(run.out, HasSubstr("an overlap of 1.16 mm closes 95 % of the seams (2.33 x the spread), for a spread of 0.5 mm, taken from --spread"));
  EXPECT_THAT(run.out, HasSubstr("an overlap of 1.64 mm closes 99 %"));
  EXPECT_TRUE(fs::exists(folder / "out/trapped-tile.pdf"));
  EXPECT_TRUE(fs::exists(folder / "out/trapped-tile.svg"));
}

TEST(NextCommand, PlacesAWholeSheetBlockAndMovesTheStops) {
  const TemporaryFolder folder;
  Reading reading = TrueReading(With("kind: layer}", "kind: layer, plate: sheet, pulled: damp}"));
  for (SiteReading& s : reading.sheet.sites) s.found.at = s.found.at + Point{0.8, -0.3};
  WriteFile(folder / "reading.yaml", Text(reading));
  const ProgramRun run = RunTruepull({"next", "reading.yaml", "--out", "out"}, folder.path());
  EXPECT_EQ(run.exit_code, 0) << run.err;
  EXPECT_THAT(run.out, HasSubstr("the block: +0.80 mm in x, -0.30 mm in y, turned"));
  EXPECT_THAT(run.out, HasSubstr("a stop or pin at the bottom right corner: 0.80 mm left, 0.30 mm down"));
}

TEST(NextCommand, SetsARunTogether) {
  const TemporaryFolder folder;
  for (int i = 0; i < 5; ++i) {
    Reading reading = TrueReading();
    for (SiteReading& s : reading.sheet.sites) s.found.at.x += i == 4 ? 4.0 : 1.0 + 0.1 * i;
    fs::create_directories(folder / fmt::format("read/sheet-{}", i + 1));
    WriteFile(folder / fmt::format("read/sheet-{}/reading.yaml", i + 1), Text(reading));
  }
  const ProgramRun run = RunTruepull({"next", "read", "--together", "--out", "out"}, folder.path());
  EXPECT_EQ(run.exit_code, 3);
  EXPECT_THAT(run.out, HasSubstr("one setting for 5 sheets: 1.1"));
  EXPECT_THAT(run.err, HasSubstr("sheet-5: needs its own setting: 4.00 mm right"));
  EXPECT_THAT(ReadFile(folder / "out/together.csv"), HasSubstr("\nsheet-5,photographed damp,4.0000,0.0000,0.0000,2.8"));
  EXPECT_TRUE(fs::exists(folder / "out/guide.pdf"));
}

TEST(NextCommand, TellsWhatTheColourWillDo) {
  const TemporaryFolder folder;
  WriteFile(folder / "reading.yaml", Text(TrueReading(With("kind: layer}", "kind: layer, opacity: transparent, pulled: damp}"))));
  const ProgramRun run = RunTruepull({"next", "reading.yaml", "--out", "out"}, folder.path());
  EXPECT_EQ(run.exit_code, 0) << run.err;
  EXPECT_THAT(run.out, HasSubstr("dark will stand off what lies beneath by"));
  EXPECT_THAT(ReadFile(folder / "out/colours.csv"), HasSubstr("\n0,0,#3a62a8,blue,#203050,"));
  // Without an opacity nothing can be told, and a preview is refused in a plain sentence.
  WriteFile(folder / "reading.yaml", Text(TrueReading()));
  const ProgramRun none = RunTruepull({"next", "reading.yaml", "--photo", "x.jpg", "--out", "none"}, folder.path());
  EXPECT_EQ(none.exit_code, 1);
  EXPECT_THAT(none.err, HasSubstr("pass dark: the plan does not say how opaque it is"));
}

TEST(NextCommand, NamesTheSitesThatATrapCannotServe) {
  const TemporaryFolder folder;
  Reading reading = TrueReading(With("shift: 1.5", "shift: 5", kPulledDamp));
  reading.sheet.sites[8].found.at.x += 3;  // B3
  WriteFile(folder / "reading.yaml", Text(reading));
  const ProgramRun run =
      RunTruepull({"next", "reading.yaml", "--favour", "0.5", "--trap", "0.4", "--out", "out"}, folder.path());
  EXPECT_EQ(run.exit_code, 3);
  EXPECT_THAT(run.err, HasSubstr("B3: moved the whole trap of 0.4 mm, yet a gap stays to B2 2.2 mm"));
  EXPECT_THAT(ReadFile(folder / "out/placements.csv"), HasSubstr("\"moved the whole trap of 0.4 mm, yet a gap stays to B2 2.2 mm"));
}

TEST(NextCommand, TakesAFolderAndGoesOnAfterABadReading) {
  const TemporaryFolder folder;
  for (const char* name : {"sheet-01", "sheet-02", "sheet-03"}) {
    fs::create_directories(folder / "read" / name);
    WriteFile(folder / "read" / name / "reading.yaml", Text(TrueReading()));
  }
  WriteFile(folder / "read/sheet-02/reading.yaml", "truepull: 1\nkind: reading\nnonsense: 3\n");
  const ProgramRun run = RunTruepull({"next", "read", "--out", "out"}, folder.path());
  EXPECT_EQ(run.exit_code, 1);
  EXPECT_THAT(run.err, HasSubstr("sheet-02/reading.yaml:3:1: nonsense is not a key"));
  EXPECT_TRUE(fs::exists(folder / "out/sheet-01/guide.pdf"));
  EXPECT_FALSE(fs::exists(folder / "out/sheet-02"));
  EXPECT_TRUE(fs::exists(folder / "out/sheet-03/guide.pdf"));
}

TEST(NextCommand, RefusesInPlainWordsAndLeavesNothingBehind) {
  const TemporaryFolder folder;
  WriteFile(folder / "reading.yaml", Text(TrueReading()));
  WriteFile(folder / "bad.yaml", "truepull: 1\nsites:\n  - {site: Z9, action: leave}\n");
  const auto refused = [&](std::vector<std::string> arguments) {
    arguments.insert(arguments.begin(), "next");
    arguments.insert(arguments.end(), {"--out", "out"});
    const ProgramRun run = RunTruepull(arguments, folder.path());
    EXPECT_EQ(run.exit_code, 1) << run.out;
    EXPECT_TRUE(IsEmptyOrAbsent(folder / "out"));
    return run.err;
  };
  EXPECT_THAT(refused({"nowhere.yaml"}), HasSubstr("nowhere.yaml: there is no such file"));
  EXPECT_THAT(refused({"reading.yaml", "--pass", "gold"}), HasSubstr("the plan has no pass of this name\n  try: it has: dark"));
  EXPECT_THAT(refused({"reading.yaml", "--corrections", "bad.yaml"}), HasSubstr("bad.yaml:3:5: sites[0] is about Z9"));
  WriteFile(folder / "other.yaml", With("columns: 6", "columns: 5"));
  EXPECT_THAT(refused({"reading.yaml", "--plan", "other.yaml"}), HasSubstr("is not the plan that the sheet was read by"));
  fs::create_directory(folder / "empty");
  EXPECT_THAT(refused({"empty"}), HasSubstr("holds no reading.yaml"));
}

TEST(NextCommand, GivesTwoForWrongUsage) {
  for (const std::vector<std::string>& more : {std::vector<std::string>{}, {"--paper", "B7"}, {"--pull", "wet"}}) {
    std::vector<std::string> arguments{"next", "--out", "out"};
    if (!more.empty()) arguments.push_back("reading.yaml");
    arguments.insert(arguments.end(), more.begin(), more.end());
    const ProgramRun run = RunTruepull(arguments);
    EXPECT_EQ(run.exit_code, 2);
    EXPECT_EQ(run.out, "");
  }
}

TEST(NextCommand, WritesTheSameBytesTwiceAndNeverOverAnothersFile) {
  const TemporaryFolder folder;
  WriteFile(folder / "reading.yaml", Text(TrueReading()));
  const std::vector<std::string> arguments{"next", "reading.yaml", "--out", "out", "--quiet"};
  const ProgramRun first = RunTruepull(arguments, folder.path());
  EXPECT_EQ(first.exit_code, 0) << first.err;
  EXPECT_EQ(first.out, "");
  const std::string pdf = ReadFile(folder / "out/guide.pdf"), svg = ReadFile(folder / "out/guide.svg");
  EXPECT_EQ(RunTruepull(arguments, folder.path()).exit_code, 0);
  EXPECT_EQ(ReadFile(folder / "out/guide.pdf"), pdf);
  EXPECT_EQ(ReadFile(folder / "out/guide.svg"), svg);
  WriteFile(folder / "out/guide.svg", "mine");
  const ProgramRun refused = RunTruepull(arguments, folder.path());
  EXPECT_EQ(refused.exit_code, 1);
  EXPECT_EQ(ReadFile(folder / "out/guide.svg"), "mine");
  EXPECT_EQ(ReadFile(folder / "out/guide.pdf"), pdf);
}

}  // namespace
}  // namespace truepull::testing
