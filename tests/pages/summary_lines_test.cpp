// SPDX-License-Identifier: Apache-2.0
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "support/sheets.h"
#include "truepull/pages.h"

namespace truepull {
namespace {

using ::testing::HasSubstr;
using ::testing::Not;

// A sheet moved as a whole, with a little scatter of the hand.
Reading Moved(Point shift, double turn_deg, double stretch_x, double stretch_y, double hand_mm = 0.1) {
  Reading reading;
  reading.plan = testing::RectanglePlan(5, 6);
  reading.sheet = testing::ReadingAtIdeal(reading.plan);
  SheetPart part;
  part.centre = LatticeCentre(reading.plan.lattice);
  part.shift = shift;
  part.turn_rad = RadFromDeg(turn_deg);
  part.stretch_x = stretch_x, part.stretch_y = stretch_y;
  for (SiteReading& r : reading.sheet.sites) {
    r.found = {ApplySheetPart(part, r.found.at), r.found.turn_rad + part.turn_rad};
  }
  std::mt19937_64 random(4);
  testing::Scatter(reading.sheet, hand_mm, 0.002, random);
  return reading;
}

std::vector<std::string> Lines(const Reading& r) { return SummaryLines(r, MeasureDrift(r.plan, r.sheet)); }

TEST(SummaryLines, SayWhatAPrinterAsksForInFiveLines) {
  Reading reading = Moved({0.8, 0}, 0.3, 0, 0.011);
  reading.plan.sheet.grain = Grain::kX;
  reading.sheet.sites[13].found.at = reading.sheet.sites[13].found.at + Point{2.4, 0};
  const auto lines = Lines(reading);
  ASSERT_EQ(lines.size(), 5u);
  EXPECT_EQ(lines[0], "30 of 30 sites printed");
  EXPECT_EQ(lines[1], "the sheet as a whole lies 0.8 mm right, turned 0.3 degrees clockwise");
  EXPECT_THAT(lines[2], HasSubstr("tiles stand 1.1 % further apart across the grain than planned "
                                  "(paper or habit: one photo cannot tell)"));
  EXPECT_THAT(lines[3], HasSubstr("beyond 1.0 mm or 1.0 degree: C2"));
  // 0.8 mm of the sheet and 2.4 of its own, and the chance of a hand.
  EXPECT_THAT(lines[4], ::testing::MatchesRegex("worst site C2: 3[.][0-5] mm right, 2[.][2-7] mm of it by hand"));
}

TEST(SummaryLines, ClaimNothingWithinTheUncertainty) {
  const auto lines = Lines(Moved({0, 0}, 0, 0, 0, 0.3));
  EXPECT_THAT(lines[1], HasSubstr("where it should, to within 0."));
  EXPECT_THAT(lines[1], HasSubstr("its turn is under"));
  EXPECT_THAT(lines[2], HasSubstr("as far apart as planned, to within"));
}

TEST(SummaryLines, AScaleThatIsNotKnownSilencesTheStretch) {
  Reading reading = Moved({0, 0}, 0, 0.004, 0.004);
  EXPECT_THAT(Lines(reading)[2], HasSubstr("0.4 % further apart from side to side and 0.4 % further apart from top to bottom"));
  reading.sheet.sd_scale_x = reading.sheet.sd_scale_y = 0.004;  // The sheet's size is known to 0.4 %.
  EXPECT_THAT(Lines(reading)[2], HasSubstr("as far apart as planned, to within 1.2 %"));
}

TEST(SummaryLines, NameWeakAndMissingSites) {
  Reading reading = Moved({0, 0}, 0, 0, 0);
  reading.sheet.sites[0].state = SiteState::kMissing;
  reading.sheet.sites[7].state = SiteState::kWeak;
  EXPECT_EQ(Lines(reading)[0], "29 of 30 sites printed; 1 of them weak: B2; missing: A1");
  for (SiteReading& r : reading.sheet.sites) r.state = SiteState::kMissing;
  EXPECT_EQ(Lines(reading), std::vector<std::string>{"0 of 30 sites printed: the sheet is empty"});
}

TEST(NeedsALook, IsFalseOnlyWhenAllIsWell) {
  const auto look = [](const Reading& r) { return NeedsALook(r, MeasureDrift(r.plan, r.sheet)); };
  const Reading good = Moved({0.1, 0}, 0, 0, 0);
  EXPECT_FALSE(look(good));
  Reading odd = good;
  odd.sheet.findings = {"site B2 is turned by 180 degrees"};
  EXPECT_TRUE(look(odd));
  odd = good;
  odd.sheet.sites[3].state = SiteState::kWeak;
  EXPECT_TRUE(look(odd));
  EXPECT_TRUE(look(Moved({1.5, 0}, 0, 0, 0)));  // Beyond the plan's 1 mm.
}

TEST(ColourWords, NameTheContractsColours) {
  EXPECT_EQ(ColourWords("#3a62a8"), "blue");
  EXPECT_EQ(ColourWords("#7b4fa0"), "violet");
  EXPECT_EQ(ColourWords("#5a3a20"), "brown");
  EXPECT_EQ(ColourWords("#203050"), "dark blue");
  EXPECT_EQ(ColourWords("#ffffff"), "white");
  EXPECT_EQ(ColourWords(""), "");
}

}  // namespace
}  // namespace truepull
