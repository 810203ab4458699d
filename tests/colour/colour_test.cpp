// SPDX-License-Identifier: Apache-2.0
#include "truepull/colour.h"

#include <gtest/gtest.h>

#include <sstream>
#include <string>
#include <vector>

#include "support/files.h"
#include "support/places.h"
#include "support/random.h"

namespace truepull {
namespace {

struct Pair {
  int number = 0;
  Lab one, two;
  double published = 0;
};

std::vector<Pair> PublishedPairs() {
  std::istringstream lines(testing::ReadFile(testing::SourceFolder() + "/tests/published/ciede2000_34_pairs.csv"));
  std::vector<Pair> pairs;
  for (std::string line; std::getline(lines, line);) {
    if (line.empty() || line[0] == '#' || line[0] == 'p') continue;
    for (char& c : line) c = c == ',' ? ' ' : c;
    std::istringstream in(line);
    Pair p;
    in >> p.number >> p.one.L >> p.one.a >> p.one.b >> p.two.L >> p.two.a >> p.two.b >> p.published;
    EXPECT_FALSE(in.fail()) << line;
    pairs.push_back(p);
  }
  return pairs;
}

TEST(ColourDifference, AgreesWithAll34PublishedPairsBothWays) {
  const auto pairs = PublishedPairs();
  ASSERT_EQ(pairs.size(), 34u);
  for (const Pair& p : pairs) {
    // The table has four decimals.
    EXPECT_NEAR(ColourDifference(p.one, p.two), p.published, 5.1e-5) << "pair " << p.number;
    EXPECT_NEAR(ColourDifference(p.two, p.one), p.published, 5.1e-5) << "pair " << p.number << " turned round";
  }
}

TEST(ColourDifference, IsNoughtForOneColourAndAlikeBothWays) {
  testing::Chance chance(41);
  for (int i = 0; i < 2000; ++i) {
    const Lab a{chance.Number(0, 100), chance.Number(-90, 90), chance.Number(-90, 90)};
    const Lab b{chance.Number(0, 100), chance.Number(-90, 90), chance.Number(-90, 90)};
    EXPECT_EQ(ColourDifference(a, a), 0);
    EXPECT_NEAR(ColourDifference(a, b), ColourDifference(b, a), 1e-9);
  }
}

// Worked from IEC 61966-2-1 and CIE 1976, white D65, by other programs (see docs/references.md).
TEST(Lab, AgreesWithPublishedColours) {
  const struct { const char* hex; Lab lab; } known[] = {
      {"#ffffff", {100, 0, 0}},
      {"#000000", {0, 0, 0}},
      {"#ff0000", {53.2408, 80.0925, 67.2032}},
      {"#00ff00", {87.7347, -86.1827, 83.1793}},
      {"#0000ff", {32.2970, 79.1875, -107.8602}},
      {"#ffff00", {97.1393, -21.5537, 94.4780}},
      {"#808080", {53.5850, 0, 0}},
      {"#3a62a8", {41.9393, 9.0473, -41.8351}},
      {"#5a3a20", {27.5854, 11.1139, 21.7292}},
      {"#f2efe6", {94.4506, -0.5476, 4.7005}}};
  for (const auto& k : known) {
    const auto colour = ColourOfHex(k.hex);
    ASSERT_TRUE(colour.has_value()) << k.hex;
    const Lab lab = LabOf(*colour);
    EXPECT_NEAR(lab.L, k.lab.L, 0.01) << k.hex;
    EXPECT_NEAR(lab.a, k.lab.a, 0.01) << k.hex;
    EXPECT_NEAR(lab.b, k.lab.b, 0.01) << k.hex;
  }
}

TEST(Lab, GoesBackToTheSameColour) {
  testing::Chance chance(42);
  for (int i = 0; i < 500; ++i) {
    const LinearColour c{chance.Number(0, 1), chance.Number(0, 1), chance.Number(0, 1)};
    const LinearColour back = ColourOfLab(LabOf(c));
    EXPECT_NEAR(back.r, c.r, 1e-10);
    EXPECT_NEAR(back.g, c.g, 1e-10);
    EXPECT_NEAR(back.b, c.b, 1e-10);
  }
}

TEST(ColourOfHex, GoesBothWaysForEveryCodeAndRefusesWhatIsNoColour) {
  for (int code = 0; code < 256; ++code) {
    char hex[8];
    std::snprintf(hex, sizeof hex, "#%02x%02x%02x", code, 255 - code, code);
    EXPECT_EQ(HexOfColour(*ColourOfHex(hex)), hex);
  }
  EXPECT_NEAR(LinearOfCoded(188 / 255.0), 0.50288646, 1e-8);
  EXPECT_NEAR(LinearOfCoded(10 / 255.0), 0.00303527, 1e-8);
  EXPECT_NEAR(255 * CodedOfLinear(0.18), 117.646, 1e-3);
  for (const char* bad : {"", "#fff", "3a62a8", "#3a62ag", "#3a62a8f", "blue"}) EXPECT_FALSE(ColourOfHex(bad)) << bad;
}

TEST(Overprint, IsTheInkOnPaperAndThePaperUnderNoInk) {
  const LinearColour paper{1, 1, 1}, blue{0.1, 0.2, 0.7}, yellow{0.9, 0.8, 0.1};
  for (const double opacity : {0.0, 0.5, 1.0}) EXPECT_EQ(Overprint(paper, blue, opacity), blue);
  // Transparent yellow over blue multiplies: the order makes no difference.
  const LinearColour mixed = Overprint(blue, yellow, 0);
  EXPECT_NEAR(mixed.r, 0.09, 1e-12);
  EXPECT_NEAR(mixed.g, 0.16, 1e-12);
  EXPECT_NEAR(mixed.b, 0.07, 1e-12);
  EXPECT_NEAR(Overprint(yellow, blue, 0).g, mixed.g, 1e-12);
  EXPECT_EQ(Overprint(blue, yellow, 1), yellow);                // Opaque hides what lies beneath.
  EXPECT_NEAR(Overprint(blue, yellow, 0.5).r, 0.495, 1e-12);    // Half way between 0.09 and 0.9.
}

TEST(AsSeenWith, LeavesGreysAndTellsWhichColoursRunTogether) {
  const LinearColour grey{0.3, 0.3, 0.3};
  for (const ColourVision v : {ColourVision::kCommon, ColourVision::kNoRed, ColourVision::kNoGreen, ColourVision::kNoBlue}) {
    EXPECT_NEAR(AsSeenWith(v, grey).r, 0.3, 1e-5);
    EXPECT_NEAR(AsSeenWith(v, grey).b, 0.3, 1e-5);
  }
  // A red and a green of like lightness run together without red cones; blue and orange do not.
  const auto red = *ColourOfHex("#b05040"), green = *ColourOfHex("#7a7a30");
  EXPECT_LT(DifferenceForAllEyes(red, green), 0.5 * ColourDifference(LabOf(red), LabOf(green)));
  EXPECT_GT(DifferenceForAllEyes(*ColourOfHex("#1f4e9c"), *ColourOfHex("#d97a1e")), 30);
}

TEST(NameOfColour, UsesPlainWords) {
  const struct { const char* hex; const char* name; } named[] = {
      {"#ffffff", "white"}, {"#000000", "black"}, {"#777777", "grey"}, {"#404040", "dark grey"}, {"#d0d0d0", "pale grey"},
      {"#ff0000", "red"}, {"#ffff00", "yellow"}, {"#00ff00", "green"}, {"#0000ff", "blue"}, {"#ff8c1a", "orange"},
      {"#5a3a20", "dark brown"}, {"#8a5a30", "brown"}, {"#3a62a8", "blue"}, {"#7b4fa0", "violet"}, {"#203050", "dark blue"},
      {"#ffb0c0", "pink"}, {"#a8d0f0", "pale blue"}, {"#6b6b20", "olive"}, {"#10a0a8", "blue-green"}};
  for (const auto& n : named) EXPECT_EQ(NameOfColour(LabOf(*ColourOfHex(n.hex))), n.name) << n.hex;
}

}  // namespace
}  // namespace truepull
