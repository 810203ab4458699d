// SPDX-License-Identifier: Apache-2.0
// Paper sizes by name, strict numbers, and the nearest known word.
#include <gtest/gtest.h>

#include "io/nearest_word.h"
#include "io/strict_number.h"
#include "truepull/paper_size.h"

namespace truepull {
namespace {

TEST(PaperSize, HasTheMillimetresOfIso216) {
  // ISO 216, read in a public copy of its table: each size halves the long side of the
  // one before, rounded down.
  const struct {
    const char* name;
    double short_mm, long_mm;
  } sizes[] = {{"A0", 841, 1189}, {"A1", 594, 841}, {"A2", 420, 594},   {"A3", 297, 420},  {"A4", 210, 297},
               {"A5", 148, 210},  {"A6", 105, 148}, {"A7", 74, 105},    {"A8", 52, 74},    {"A9", 37, 52},
               {"A10", 26, 37},   {"B0", 1000, 1414}, {"B1", 707, 1000}, {"B2", 500, 707}, {"B3", 353, 500},
               {"B4", 250, 353},  {"B5", 176, 250}, {"B6", 125, 176},   {"B7", 88, 125},   {"B8", 62, 88},
               {"B9", 44, 62},    {"B10", 31, 44}};
  for (const auto& s : sizes) {
    const auto found = FindPaperSize(s.name);
    ASSERT_TRUE(found) << s.name;
    EXPECT_EQ(found->short_mm, s.short_mm) << s.name;
    EXPECT_EQ(found->long_mm, s.long_mm) << s.name;
  }
}

TEST(PaperSize, HasTheInchSizesInExactMillimetres) {
  EXPECT_DOUBLE_EQ(FindPaperSize("Letter")->short_mm, 215.9);
  EXPECT_DOUBLE_EQ(FindPaperSize("letter")->long_mm, 279.4);
  EXPECT_DOUBLE_EQ(FindPaperSize("ledger")->long_mm, 431.8);
  EXPECT_DOUBLE_EQ(FindPaperSize("legal")->long_mm, 355.6);
  EXPECT_DOUBLE_EQ(FindPaperSize("ansi-d")->long_mm, 863.6);
  EXPECT_DOUBLE_EQ(FindPaperSize("arch c")->short_mm, 457.2);
  EXPECT_DOUBLE_EQ(FindPaperSize("22x30")->short_mm, 558.8);
  EXPECT_FALSE(FindPaperSize("A11"));
  EXPECT_FALSE(FindPaperSize(""));
}

TEST(StrictNumber, TakesPlainNumbersOnly) {
  const std::pair<const char*, double> good[] = {{"0", 0},        {"-0", 0},      {"12", 12},   {"+1.5", 1.5},
                                                 {"-.25", -0.25}, {"3.", 3},      {"1e3", 1000}, {"2.5E-2", 0.025},
                                                 {"0.10", 0.1},   {"0e5", 0}};
  for (const auto& [text, value] : good) {
    ASSERT_TRUE(ReadStrictNumber(text).value) << text;
    EXPECT_EQ(*ReadStrictNumber(text).value, value) << text;
  }
  for (const char* bad : {"", " ", "-", ".", "e5", "1e", "1e+", "010", "-01", "00", "0x1F", "1_000", "1e999", "1e-999",
                          "nan", "inf", "infinity", "12mm", "12 %", "1,5", "1.5.2", "1 2", "--1", "+-1", "1e5.5", "\xD9\xA1"}) {
    EXPECT_FALSE(ReadStrictNumber(bad).value) << bad;
  }
}

TEST(StrictNumber, SaysHowToWriteItInstead) {
  EXPECT_EQ(ReadStrictNumber("1,5").hint, "write the decimal point as a dot: 1.5");
  EXPECT_EQ(ReadStrictNumber("-007.5").hint, "leave out the zeros in front: -7.5");
  EXPECT_EQ(ReadStrictNumber("00").hint, "leave out the zeros in front: 0");
  EXPECT_EQ(ReadStrictNumber("00.5").hint, "leave out the zeros in front: 0.5");
  EXPECT_EQ(ReadStrictNumber("12 mm").hint, "write the number alone, without its unit");
}

TEST(NearestWord, FindsSlipsOfThePenOnly) {
  const std::vector<std::string> known{"origin", "across", "down", "rows", "columns"};
  EXPECT_EQ(NearestWord("row", known), "rows");
  EXPECT_EQ(NearestWord("orgin", known), "origin");
  EXPECT_EQ(NearestWord("acorss", known), "across");  // Two neighbours swapped.
  EXPECT_EQ(NearestWord("colums", known), "columns");
  EXPECT_EQ(NearestWord("height", known), "");
  EXPECT_EQ(NearestWord(std::string(100000, 'a'), known), "");
}

}  // namespace
}  // namespace truepull
