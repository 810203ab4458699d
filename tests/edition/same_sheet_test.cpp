// SPDX-License-Identifier: Apache-2.0
// One sheet in two photos, and the sheet that a later pass was printed on.
#include "truepull/same_sheet.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "edition/made_editions.h"
#include "support/sheets.h"
#include "truepull/colour.h"

namespace truepull::testing {
namespace {

// Every place off as a fit to a plate that is short on its right side has it.
void PrintWithAShortPlate(EditionSheet& s, double short_mm) {
  for (SiteReading& r : s.reading.sheet.sites) {
    r.found.at = r.found.at + Rotation(IdealPose(s.reading.plan.lattice, r.site).turn_rad) * Point{-short_mm / 2, 0};
  }
}

TEST(SameSheet, IsKnownByTheHandsPatternAlone) {
  std::mt19937_64 random(2);
  MadeEdition made;
  made.sheets = 12;
  const std::vector<EditionSheet> sheets = Make(made);
  for (std::size_t a = 0; a < sheets.size(); ++a) {
    // The same sheet again: measured anew, laid and stretched a little otherwise.
    Reading again = sheets[a].reading;
    std::normal_distribution<double> normal(0, 0.03);
    for (SiteReading& r : again.sheet.sites) {
      r.found.at = r.found.at + Point{0.3 + 0.001 * r.found.at.x + normal(random), -0.2 + normal(random)};
    }
    EXPECT_TRUE(CompareSheets(sheets[a].reading, again, 0.35).same);
    for (std::size_t b = a + 1; b < sheets.size(); ++b) {
      EXPECT_FALSE(CompareSheets(sheets[a].reading, sheets[b].reading, 0.35).same);
    }
  }
}

TEST(SameSheet, IsNotSaidOfSheetsThatShareAPlateFaultOnly) {
  std::mt19937_64 random(3);
  MadeEdition made;
  made.plan = AlternatingPlan();
  made.hand_mm = 0.04;
  made.sheets = 4;
  made.change = [&](int, EditionSheet& s) { PrintWithAShortPlate(s, 0.8); };
  const auto sheets = Make(made);
  const double usual = CompareSheets(sheets[0].reading, sheets[1].reading, 0).difference_mm;
  EXPECT_FALSE(CompareSheets(sheets[2].reading, sheets[3].reading, usual).same);
}

// A second pass put down to 0.2 mm on pulls that the first hand scattered by 0.4 mm, seen in
// another photo that lies otherwise.
Reading SecondPass(const Reading& first, double sd_mm, std::mt19937_64& random) {
  Reading out = first;
  std::normal_distribution<double> normal(0, sd_mm);
  for (SiteReading& r : out.sheet.sites) {
    r.found.at = r.found.at + Point{0.4 + 0.002 * r.found.at.x + normal(random), -0.1 + normal(random)};
  }
  return out;
}

TEST(MatchSheet, FindsTheSheetOfALaterPassByTheFirstOnesPattern) {
  int found = 0, wrong = 0, unknown = 0;
  for (unsigned seed = 1; seed <= 20; ++seed) {
    std::mt19937_64 random(seed);
    MadeEdition made;
    made.seed = seed, made.sheets = 8, made.hand_mm = 0.4;
    const auto sheets = Make(made);
    std::vector<const Reading*> firsts;
    for (std::size_t k = 0; k + 1 < sheets.size(); ++k) firsts.push_back(&sheets[k].reading);
    for (std::size_t k = 0; k + 1 < sheets.size(); ++k) {
      const SheetMatch match = MatchSheet(SecondPass(sheets[k].reading, 0.2, random), firsts);
      found += match.found && match.sheet == k;
      wrong += match.found && match.sheet != k;
    }
    // The last sheet's first pass was never photographed.
    unknown += MatchSheet(SecondPass(sheets.back().reading, 0.2, random), firsts).found;
  }
  EXPECT_EQ(wrong, 0);
  EXPECT_GE(found, 126);   // Nine in ten of 140.
  EXPECT_LE(unknown, 1);
}

TEST(MatchSheet, LeavesOpenWhatTheSecondPlacingHasBlurred) {
  std::mt19937_64 random(5);
  MadeEdition made;
  made.sheets = 6, made.hand_mm = 0.25;
  const auto sheets = Make(made);
  std::vector<const Reading*> firsts;
  for (const EditionSheet& s : sheets) firsts.push_back(&s.reading);
  for (const EditionSheet& s : sheets) EXPECT_FALSE(MatchSheet(SecondPass(s.reading, 0.6, random), firsts).found);
}

TEST(PassByColour, TellsALaterPassByTheColourOfItsOverprint) {
  MadeEdition made;
  made.sheets = 1;
  made.plan.colours = {"#3a62a8", "#c9782e"};
  made.plan.colour_map = {{0, 1}};
  Pass pale, dark;
  pale.name = "pale", pale.colour = "#d8c840", dark.name = "dark", dark.colour = "#203050";
  made.plan.passes = {pale, dark};
  Reading reading = Make(made)[0].reading;
  const auto paint = [&](const std::vector<std::string>& inks, double strength) {
    for (SiteReading& r : reading.sheet.sites) {
      LinearColour c = *ColourOfHex(made.plan.colours[static_cast<std::size_t>(PlannedColour(made.plan, r.site))]);
      for (const std::string& ink : inks) c = Overprint(c, *ColourOfHex(ink), 0);
      const auto weaker = [&](double v) { return 1 - strength * (1 - v); };
      r.body_colour = HexOfColour({weaker(c.r), weaker(c.g), weaker(c.b)});
    }
  };
  paint({}, 1);
  EXPECT_EQ(PassByColour(reading), "first");
  paint({}, 0.85);   // Pale pulls are no later pass.
  EXPECT_EQ(PassByColour(reading), "first");
  paint({"#203050"}, 1);
  EXPECT_EQ(PassByColour(reading), "dark");
  paint({"#d8c840"}, 1);
  EXPECT_EQ(PassByColour(reading), "pale");
  paint({"#d8c840", "#203050"}, 1);
  EXPECT_EQ(PassByColour(reading), "dark");
  reading.plan.passes.clear();
  EXPECT_EQ(PassByColour(reading), "first");
}

}  // namespace
}  // namespace truepull::testing
