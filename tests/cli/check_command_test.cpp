// SPDX-License-Identifier: Apache-2.0
// `truepull check`: what it says of each kind of file, and its exit status.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "support/harbour_plan.h"
#include "support/program.h"
#include "truepull/drift.h"
#include "truepull/plan_text.h"
#include "truepull/reading_text.h"

namespace truepull::testing {
namespace {

using ::testing::HasSubstr;
using ::testing::StartsWith;

class Check : public ::testing::Test {
 protected:
  ProgramRun Run(const std::string& text, const std::string& name, std::vector<std::string> more = {}) {
    WriteFile(folder_ / name, text);
    more.insert(more.begin(), {"check", name});
    return RunTruepull(more, folder_.path());
  }
  TemporaryFolder folder_;
};

TEST_F(Check, SaysWhatAPlanHolds) {
  const ProgramRun run = Run(kHarbourPlan, "plan.yaml");
  EXPECT_EQ(run.exit_code, 0);
  EXPECT_EQ(run.err, "");
  EXPECT_EQ(run.out,
            "plan.yaml: a plan, \"Harbour gulls\", without fault\n"
            "  sheet: 420 x 297 mm\n"
            "  tile: 60.0 x 45.0 mm, 2700.0 mm2, outline of 4 points\n"
            "  lattice: 5 rows by 6 columns, 30 sites; (60.0, 0.0) mm across and (0.0, 45.0) mm down\n"
            "  sites: A1 is row 0, column 0 in files; E6 is the last\n"
            "  first pass: 2 colours\n"
            "  later pass: dark, on first\n");
}

TEST_F(Check, GivesOneAndTheLineForAWrongPlan) {
  const ProgramRun run = Run(With("rows: 5", "rows: 0"), "plan.yaml");
  EXPECT_EQ(run.exit_code, 1);
  EXPECT_EQ(run.out, "");
  EXPECT_EQ(run.err,
            "plan.yaml:12:9: lattice.rows must be 1 or more, not 0\n"
            "  rows: 0\n"
            "        ^\n");
  const ProgramRun hinted = Run(With("rows: 5", "row: 5"), "plan.yaml", {"--quiet"});
  EXPECT_EQ(hinted.exit_code, 1);
  EXPECT_THAT(hinted.err, HasSubstr("\n  try: did you mean rows?\n"));
}

TEST_F(Check, GivesThreeForAPlanThatNeedsALook) {
  const std::string text = With("[30, 24]", "[80, 24]");
  const ProgramRun run = Run(text, "plan.yaml");
  EXPECT_EQ(run.exit_code, 3);
  EXPECT_EQ(run.err, "plan.yaml: 5 of 30 sites hang off the sheet, most of all A6 by 20.0 mm at the right edge\n");
  const ProgramRun quiet = Run(text, "plan.yaml", {"--quiet"});
  EXPECT_EQ(quiet.exit_code, 3);
  EXPECT_EQ(quiet.out + quiet.err, "");
}

TEST_F(Check, KnowsFilesByWhatIsInThem) {
  EXPECT_EQ(Run(kHarbourPlan, "drift.csv").exit_code, 0);
  EXPECT_THAT(Run("truepull: 1\n", "x").err, StartsWith("x:1:1: sheet is missing"));
  const ProgramRun other = Run("Dear diary,\n", "diary.txt");
  EXPECT_EQ(other.exit_code, 1);
  EXPECT_THAT(other.err, StartsWith("diary.txt: is none of the files that truepull reads or writes\n"));
  EXPECT_THAT(Run("", "empty").err, StartsWith("empty: is none of the files"));
}

TEST_F(Check, SaysPlainlyThatAFileIsNotThere) {
  const ProgramRun run = RunTruepull({"check", "nothing.yaml"}, folder_.path());
  EXPECT_EQ(run.exit_code, 1);
  EXPECT_EQ(run.err, "nothing.yaml: there is no such file\n  try: check the name and the folder\n");
  EXPECT_EQ(RunTruepull({"check", "."}, folder_.path()).exit_code, 1);
}

const std::string kDriftHeader =
    "row,column,state,x_mm,y_mm,turn_deg,dx_mm,dy_mm,dturn_deg,sd_x_mm,sd_y_mm,sd_turn_deg,coverage";

TEST_F(Check, SaysWhatADriftTableHolds) {
  const ProgramRun run = Run(kDriftHeader + ",mood\n"
                             "0,0,printed,30.5,24,0.1,0.5,0,0.1,0.02,0.02,0.05,0.97,calm\n"
                             "0,1,weak,93,28,0,3,4,0,0.02,0.02,0.05,0.4,\n"
                             "1,0,missing,,,,,,,,,,0.01,\n",
                             "drift.csv");
  EXPECT_EQ(run.exit_code, 0) << run.err;
  EXPECT_EQ(run.out,
            "drift.csv: the drift of every site (drift.csv), without fault\n"
            "  3 sites: 1 missing, 1 printed, 1 weak\n"
            "  furthest from its ideal place: A2, 5.0 mm\n"  // 3, 4, 5.
            "  more columns: mood\n");
}

TEST_F(Check, NamesTheCellOfATableThatIsWrong) {
  const std::string row = "0,0,printed,30.5,24,0.1,0.5,0,0.1,0.02,0.02,0.05,0.97\n";
  const auto refusal = [&](const std::string& text) {
    const ProgramRun run = Run(text, "drift.csv");
    EXPECT_EQ(run.exit_code, 1);
    EXPECT_EQ(run.out, "");
    return run.err.substr(0, run.err.find('\n'));
  };
  EXPECT_EQ(refusal(kDriftHeader + "\n" + With("30.5", "thirty", row)),
            "drift.csv:2:13: x_mm must be a number, not thirty");
  EXPECT_EQ(refusal(kDriftHeader + "\n" + With("30.5", "", row)), "drift.csv:2:13: x_mm must be a number, not empty");
  EXPECT_EQ(refusal(kDriftHeader + "\n" + With("printed", "blurred", row)),
            "drift.csv:2:5: state must be printed, weak or missing, not blurred");
  EXPECT_EQ(refusal(kDriftHeader + "\n" + With("0.97", "1.97", row)),
            "drift.csv:2:50: coverage must be a number from 0 to 1, not 1.97");
  EXPECT_EQ(refusal(kDriftHeader + "\n" + row + row), "drift.csv:3:1: row 0, column 0 is given twice");
  EXPECT_EQ(refusal(kDriftHeader + "\n" + With("0,0", "1,0", row) + row),
            "drift.csv:3:1: row 0, column 0 stands behind row 1, column 0");
  EXPECT_EQ(refusal(kDriftHeader + "\n0,0,printed\n"), "drift.csv:2:1: the row has 3 cells, the header 13");
  EXPECT_EQ(refusal(With("y_mm", "up_mm", kDriftHeader) + "\n"), "drift.csv: column 5 must be y_mm, not up_mm");
}

TEST_F(Check, SaysWhatAReadingHoldsAndWhatNeedsALook) {
  Reading reading;
  reading.plan = ParsePlan(kHarbourPlan, "plan.yaml")->plan;
  reading.photo_name = "sheet-07.jpg";
  reading.sheet.photo_width_px = 4000;
  reading.sheet.photo_height_px = 3000;
  for (const Site site : AllSites(reading.plan.lattice)) {
    SiteReading r;
    r.site = site;
    r.state = site == Site{4, 5} ? SiteState::kMissing : SiteState::kPrinted;
    r.found = IdealPose(reading.plan.lattice, site);
    if (site == Site{2, 1}) r.found.at.x += 2;  // C2: 2 mm right; the plan allows 1.5.
    r.covariance = DiagonalCovariance(0.05, 0.05, 0.001);
    r.coverage = r.state == SiteState::kMissing ? 0 : 0.95;
    reading.sheet.sites.push_back(r);
  }
  const std::string text = WriteReading(reading, MeasureDrift(reading.plan, reading.sheet));
  const ProgramRun run = Run(text, "reading.yaml");
  EXPECT_EQ(run.exit_code, 3) << run.err;
  EXPECT_THAT(run.out, StartsWith("reading.yaml: a reading of sheet-07.jpg, without fault\n"
                                  "  30 sites: 29 printed, 0 weak, 1 missing\n"
                                  "  furthest from its place: C2, 2.0 mm\n"));
  EXPECT_EQ(run.err, "reading.yaml: 1 site beyond the plan's tolerance\nreading.yaml: 1 site missing\n");
  EXPECT_THAT(Run(With("state: printed", "state: blurred", text), "reading.yaml").err, HasSubstr("blurred"));
}

TEST_F(Check, KnowsCorrectionsWithAndWithoutTheirPlan) {
  const std::string text = "truepull: 1\nsites:\n  - {site: C2, action: leave, reason: smudged}\n  - {site: F1, accepted: true}\n";
  const ProgramRun alone = Run(text, "corrections.yaml");
  EXPECT_EQ(alone.exit_code, 0) << alone.err;
  EXPECT_EQ(alone.out,
            "corrections.yaml: the printer's corrections, without fault\n"
            "  2 sites: C2, F1\n"
            "  no reading.yaml or plan.yaml stands beside it: whether it has these sites is not known\n");
  // The plan beside it ends at E6.
  WriteFile(folder_ / "plan.yaml", kHarbourPlan);
  const ProgramRun beside = Run(text, "corrections.yaml");
  EXPECT_EQ(beside.exit_code, 1);
  EXPECT_THAT(beside.err, StartsWith("corrections.yaml:4:5: sites[1] is about F1"));
  EXPECT_EQ(Run(With("F1", "E6", text), "corrections.yaml").exit_code, 0);
}

TEST_F(Check, KnowsPlacementsAndTruth) {
  const ProgramRun placements = Run(
      "row,column,action,x_mm,y_mm,turn_deg,from_ideal_dx_mm,from_ideal_dy_mm,from_ideal_dturn_deg\n"
      "0,0,pull,30,24,0,0,0,0\n0,1,look,90.6,24.8,0,0.6,0.8,0\n",
      "p.csv");
  EXPECT_EQ(placements.exit_code, 0) << placements.err;
  EXPECT_THAT(placements.out, HasSubstr("2 sites: 1 look, 1 pull\n  furthest from its ideal place: A2, 1.0 mm\n"));
  const ProgramRun truth = Run(
      "row,column,state,x_mm,y_mm,turn_deg,coverage,colour,colour_hex,ghost,deposit\r\n"
      "0,0,printed,30,24,0,0.97,0,#3a62a8,0,1.1\r\n0,1,missing,,,,0,,,0,0\r\n",
      "t.csv");
  EXPECT_EQ(truth.exit_code, 0) << truth.err;
  EXPECT_THAT(truth.out, HasSubstr("2 sites: 1 missing, 1 printed\n"));
}

}  // namespace
}  // namespace truepull::testing
