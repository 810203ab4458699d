// SPDX-License-Identifier: Apache-2.0
// Pages of paper: nothing lost, nothing outside, joined as they say.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <set>

#include "support/guides.h"

namespace truepull::testing {
namespace {

std::string WordsOn(const GuidePage& page) {
  std::string out;
  for (const Mark& m : page.marks) {
    if (const auto* t = std::get_if<TextMark>(&m.what)) out += t->text + "\n";
  }
  return out;
}

constexpr Paper kPapers[] = {Paper::kA4, Paper::kLetter, Paper::kA3, Paper::kTabloid, Paper::kSheet};

TEST(LayOutPages, LosesNoLabelOnAnyPaper) {
  for (const Plan& plan : {RectanglePlan(5, 6), DensePlan()}) {
    const Guide guide = GuideOf(plan);
    for (const Paper paper : kPapers) {
      std::set<std::string> labels;
      for (const GuidePage& page : LayOutPages(guide, paper)) {
        for (const Mark& m : page.marks) {
          if (m.role == MarkRole::kLabel) labels.insert(std::get<TextMark>(m.what).text);
        }
      }
      EXPECT_EQ(labels.size(), AllSites(plan.lattice).size()) << NameOf(paper);
    }
  }
}

TEST(LayOutPages, KeepsEveryMarkInsideWhatAPrinterCanReach) {
  for (const bool mirrored : {false, true}) {
    const Guide guide = GuideOf(RectanglePlan(5, 6), mirrored);
    for (const Paper paper : kPapers) {
      for (const GuidePage& page : LayOutPages(guide, paper)) {
        for (const Mark& m : page.marks) {
          const Box b = std::holds_alternative<TextMark>(m.what) ? TextBox(std::get<TextMark>(m.what))
                                                                  : BoundingBox(std::get<PathMark>(m.what).points);
          EXPECT_GE(b.left, 7.7) << NameOf(paper) << page.label << NameOf(m.role);
          EXPECT_GE(b.top, 7.7) << NameOf(paper) << page.label << NameOf(m.role);
          EXPECT_LE(b.right, page.width_mm - 7.7) << NameOf(paper) << page.label << NameOf(m.role);
          EXPECT_LE(b.bottom, page.height_mm - 7.7) << NameOf(paper) << page.label << NameOf(m.role);
        }
      }
    }
  }
}

TEST(LayOutPages, JoinedPagesOverlapNeighboursByTwelveMillimetresAndCoversTheSheet) {
  const Guide guide = GuideOf(RectanglePlan(5, 6));
  auto pages = LayOutPages(guide, PageOptions(Paper::kA4, PageSplit::kJoined));
  std::erase_if(pages, [](const GuidePage& p) { return p.window.Width() == 0; });  // The words.
  ASSERT_EQ(pages.size(), 4u);
  EXPECT_NEAR(pages[0].window.right - pages[1].window.left, 12, 1e-9);
  EXPECT_NEAR(pages[0].window.bottom - pages[2].window.top, 12, 1e-9);
  EXPECT_NEAR(pages[0].window.left, -8, 1e-9);
  EXPECT_NEAR(pages[3].window.right, 428, 1e-9);
  EXPECT_NEAR(pages[3].window.bottom, 305, 1e-9);
  EXPECT_THAT(pages[1].label, ::testing::EndsWith(": right top"));
}

TEST(LayOutPages, SaysOnEveryPageWhichWayRoundItIs) {
  for (const bool mirrored : {false, true}) {
    const Guide guide = GuideOf(RectanglePlan(5, 6), mirrored);
    for (const Paper paper : kPapers) {
      for (const GuidePage& page : LayOutPages(guide, paper)) {
        const std::string words = WordsOn(page);
        EXPECT_EQ(words.find("SEEN FROM THE PRINTED FACE") != std::string::npos, !mirrored);
        EXPECT_EQ(words.find("MIRRORED:") != std::string::npos, mirrored);
        int letter = 0, bars = 0;
        for (const Mark& m : page.marks) {
          letter += m.role == MarkRole::kLetter ? 1 : 0;
          if (m.role != MarkRole::kBar) continue;
          const auto& p = std::get<PathMark>(m.what).points;
          bars += std::abs(Norm(p[1] - p[0]) - 100) < 1e-9 ? 1 : 0;
        }
        EXPECT_EQ(letter, 3);  // Stem, bowl, leg.
        EXPECT_EQ(bars, 2);    // Along x and along y, on every page.
      }
    }
  }
}

TEST(LayOutPages, PutsASmallSheetOnOnePageWithAllItsWords) {
  Plan plan = RectanglePlan(2, 2);
  plan.sheet.width_mm = 148;
  plan.sheet.height_mm = 105;
  plan.lattice.origin = {14, 8};
  const auto pages = LayOutPages(GuideOf(plan), Paper::kA4);
  ASSERT_EQ(pages.size(), 1u);
  EXPECT_EQ(pages[0].label, "");
  EXPECT_NE(WordsOn(pages[0]).find("Take care"), std::string::npos);
}

TEST(LayOutPages, NamesEachCrossOnTwoPages) {
  const auto pages = LayOutPages(GuideOf(RectanglePlan(5, 6)), PageOptions(Paper::kLetter, PageSplit::kJoined));
  std::multiset<std::string> names;
  for (const GuidePage& page : pages) {
    for (const Mark& m : page.marks) {
      if (m.role == MarkRole::kJoinCross && std::holds_alternative<TextMark>(m.what)) names.insert(std::get<TextMark>(m.what).text);
    }
  }
  EXPECT_EQ(names.size(), 16u);
  for (const auto& name : names) EXPECT_EQ(names.count(name), 2u) << name;
}

TEST(ParsePaper, KnowsFivePapersAndNamesThemOtherwise) {
  for (const Paper paper : kPapers) EXPECT_EQ(ParsePaper(NameOf(paper)).value(), paper);
  EXPECT_EQ(ParsePaper("a4").value(), Paper::kA4);
  ASSERT_FALSE(ParsePaper("B7").has_value());
  EXPECT_EQ(ParsePaper("B7").error().hint, "use A4, letter, A3, tabloid or sheet");
}

}  // namespace
}  // namespace truepull::testing
