// SPDX-License-Identifier: Apache-2.0
#include "truepull/printer_text.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "truepull/guide_text.h"

namespace truepull::testing {
namespace {

using ::testing::HasSubstr;

TEST(ParseMeasured, TakesBothDirectionsInEitherOrder) {
  const auto both = ParseMeasured("y=199.2,x=198.5");
  ASSERT_TRUE(both.has_value());
  EXPECT_EQ(both->x_mm, 198.5);
  EXPECT_EQ(both->y_mm, 199.2);
  EXPECT_NEAR(both->ScaleX(), 1.0075567, 1e-6);
  EXPECT_FALSE(both->ProbablyFitted());
  EXPECT_EQ(ParseMeasured("x=201")->y_mm, 200);
  EXPECT_TRUE(ParseMeasured("x=195.9")->ProbablyFitted());
}

TEST(ParseMeasured, RefusesWhatIsNoMeasure) {
  for (const char* bad : {"", "198.5", "x=", "x=abc", "x=198,5", "x=90", "z=200", "x=199,x=200"}) {
    const auto parsed = ParseMeasured(bad);
    ASSERT_FALSE(parsed.has_value()) << bad;
    EXPECT_THAT(parsed.error().hint, HasSubstr("--measured x=198.5,y=199.2"));
  }
}

TEST(ParsePrinter, ReadsWhatItWrites) {
  const auto back = ParsePrinter(WritePrinter({198.5, 199.25}), "class-2.yaml");
  ASSERT_TRUE(back.has_value()) << back.error().message;
  EXPECT_EQ(back->x_mm, 198.5);
  EXPECT_EQ(back->y_mm, 199.25);
}

TEST(ParsePrinter, NamesThePlaceOfAFault) {
  EXPECT_THAT(ParsePrinter("truepull: 1\nkind: printer\nmeasured: {x: 90, y: 200}\n", "p.yaml").error().message,
              HasSubstr("p.yaml:3:"));
  EXPECT_FALSE(ParsePrinter("truepull: 1\nkind: guide\nmeasured: {x: 199, y: 200}\n", "p.yaml").has_value());
  EXPECT_FALSE(ParsePrinter("truepull: 2\nkind: printer\nmeasured: {x: 199, y: 200}\n", "p.yaml").has_value());
}

TEST(CheckGuideYaml, CountsAndRefuses) {
  const std::string head = "truepull: 1\nkind: guide\ntitle: \"x\"\nuse: over\nface: mirrored\nunits: mm\n"
                           "sheet: {width: 10, height: 10}\npages:\n  - {page: 1}\nmarks:\n";
  const auto facts = CheckGuideYaml(head + "  - {role: tick, group: site-0-1, closed: false, points: [[0, 0], [1, 1]]}\n", "guide.yaml");
  ASSERT_TRUE(facts.has_value()) << facts.error().message;
  EXPECT_EQ(facts->sites, 1u);
  EXPECT_EQ(facts->marks, 1u);
  EXPECT_TRUE(facts->mirrored);
  EXPECT_THAT(CheckGuideYaml(head + "  - {role: tick}\n", "guide.yaml").error().message, HasSubstr("has neither points nor text"));
}

}  // namespace
}  // namespace truepull::testing
