// SPDX-License-Identifier: Apache-2.0
// Texts that are no plain YAML, or that would take the memory, are refused in place.
#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>


#include "io/source_text.h"
#include "support/harbour_plan.h"
#include "support/refusal.h"

namespace truepull::testing {
namespace {

using ::testing::HasSubstr;
using ::testing::StartsWith;

TEST(YamlText, RefusesAnchorsAliasesAndTags) {
  EXPECT_EQ(Refusal(With("title: Harbour", "title: &a Harbour")),
            "plan.yaml:2:8: an anchor (&name) has no place in this file\n"
            "title: &a Harbour gulls\n"
            "       ^\n"
            "  try: write the value out where it is needed");
  EXPECT_EQ(Refusal(With("title: Harbour", "title: !!str Harbour")),
            "plan.yaml:2:8: a tag (tag:yaml.org,2002:str) has no place in this file\n"
            "title: !!str Harbour gulls\n"
            "       ^\n"
            "  try: leave the tag out");
  EXPECT_THAT(Refusal("a: *b\n"), StartsWith("plan.yaml:1:4: this is not YAML that can be read"));
}

TEST(YamlText, RefusesTheBombThatDoublesItself) {
  std::string bomb = "a0: &a0 [x, x]\n";
  for (int i = 1; i < 40; ++i) bomb += fmt::format("a{}: &a{} [*a{}, *a{}]\n", i, i, i - 1, i - 1);
  EXPECT_THAT(Refusal(bomb), StartsWith("plan.yaml:1:5: an anchor (&name) has no place in this file"));
}

TEST(YamlText, RefusesDeepNesting) {
  EXPECT_EQ(Refusal("title: " + std::string(30, '[') + std::string(30, ']') + "\n"),
            "plan.yaml:1:19: values are nested more than 12 deep\n"
            "title: [[[[[[[[[[[[[[[[[[[[[[[[[[[[[[]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]\n"
            "                  ^\n"
            "  try: check for brackets that are never closed");
  EXPECT_THAT(Refusal("title: " + std::string(100000, '[') + std::string(100000, ']')),
              HasSubstr("nested more than 12 deep"));
  EXPECT_THAT(Refusal("title: " + std::string(100000, '[')),
              ::testing::EndsWith("try: check for brackets and quotes that are never closed"));
  std::string steps;
  for (int i = 0; i < 2000; ++i) steps += std::string(static_cast<std::size_t>(i), ' ') + "a:\n";
  EXPECT_THAT(Refusal(steps), HasSubstr("nested more than 12 deep"));
}

TEST(YamlText, RefusesHugeTextsAndEndlessLists) {
  EXPECT_EQ(Refusal(std::string(std::size_t{5} << 20, ' ')),
            "plan.yaml: is larger than 4 MB, which no file of this kind should be");
  std::string list = "title: [";
  for (int i = 0; i < 600000; ++i) list += "1,";
  EXPECT_THAT(Refusal(list + "1]\n"), HasSubstr("the file holds more than 500000 values"));
  std::string outline = "[";
  for (int i = 0; i < 10001; ++i) outline += "[0,0],";
  EXPECT_THAT(Refusal(With("[[0, 0], [60, 0], [60, 45], [0, 45]]", outline + "[1,1]]")),
              HasSubstr("tile.outline may have at most 10000 points, not 10002"));
}

TEST(YamlText, RefusesWhatIsNoYamlWithItsPlace) {
  EXPECT_THAT(Refusal(With("title: Harbour", "title: Harbour: x")),
              StartsWith("plan.yaml:2:15: this is not YAML that can be read"));
  EXPECT_THAT(Refusal(With("  rows", "\trows")), StartsWith("plan.yaml:12:2: this is not YAML that can be read"));
  EXPECT_THAT(Refusal(With("title: Harbour gulls", "{a: b}: 1")),
              StartsWith("plan.yaml:2:1: a key must be a plain word"));
  EXPECT_THAT(Refusal(With("passes:", "---\npasses:")),
              StartsWith("plan.yaml:19:1: a second document (after ---) has no place in this file"));
}

TEST(YamlText, RefusesWhatIsNoText) {
  EXPECT_EQ(Refusal(""), "plan.yaml: is empty");
  EXPECT_EQ(Refusal("# only a remark\n"), "plan.yaml: is empty");
  EXPECT_EQ(Refusal("hello"), "plan.yaml: is not a plan\n  try: a plan is a list of keys, each with its value");
  const std::string no_text =
      " is not a plain text in UTF-8\n  try: save the file as plain text (UTF-8) from a text editor";
  EXPECT_EQ(Refusal(With("gulls", "gulls \xFF")), "plan.yaml:2:" + no_text);
  EXPECT_EQ(Refusal(std::string("\xFF\xFE" "t\0r\0", 6)), "plan.yaml:1:" + no_text);
  EXPECT_EQ(Refusal(std::string("truepull: 1\0\n", 13)), "plan.yaml:1:" + no_text);
}

TEST(SourceText, CountsColumnsInLettersNotBytes) {
  const SourceText source("plan.yaml", "{title: M\xC3\xB6we, colour: x}\n");
  EXPECT_EQ(source.At({0, 15}, "here").message,
            "plan.yaml:1:15: here\n"
            "{title: M\xC3\xB6we, colour: x}\n"
            "              ^");
}

TEST(SourceText, PlacesPastTheEndAtTheEnd) {
  const SourceText source("plan.yaml", "a\n");
  EXPECT_EQ(source.At({7, 7}, "here").message, "plan.yaml:8:1: here\n\n^");
}

TEST(FirstBadCharacter, KnowsWholeAndBrokenUtf8) {
  EXPECT_FALSE(FirstBadCharacter("a\t\r\n \xC3\xB6 \xE2\x82\xAC \xF0\x9F\x96\xA8"));
  for (const char* bad : {"\x80", "\xC3", "\xC0\x80", "\xE0\x80\x80", "\xED\xA0\x80", "\xF4\x90\x80\x80", "\x01", "\x7F"}) {
    EXPECT_TRUE(FirstBadCharacter(bad)) << bad;
  }
}

}  // namespace
}  // namespace truepull::testing
