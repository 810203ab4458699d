// SPDX-License-Identifier: Apache-2.0
// The pages over many sheets: what they say, and how they behave in a browser.
#include "truepull/review_pages.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <cstdlib>
#include <regex>

#include "edition/made_editions.h"
#include "pages/page_parts.h"
#include "support/chromium.h"
#include "support/files.h"

namespace truepull::testing {
namespace {

using ::testing::ElementsAre;
using ::testing::HasSubstr;
using ::testing::Not;

EditionReview Reviewed(const EditionSettings& settings = {}) {
  MadeEdition made;
  made.sheets = 7;
  made.change = [](int k, EditionSheet& s) {
    s.code = std::string(1, static_cast<char>('A' + (k * 3) % 7)) + "<" + std::to_string(k);   // Needs escaping.
    s.whose = k < 2 ? "K1" : "";
    if (k == 5) {
      for (SiteReading& r : s.reading.sheet.sites) r.found.at = r.found.at + Point{1.5, 0};
    }
  };
  return ReviewEdition(Make(made), settings);
}

std::string PageOf(const EditionReview& review) {
  ReviewPageInput in;
  in.review = &review;
  in.not_used = {{"bad & worse.jpg", "is cut short"}};
  return ReviewPage(in);
}

TEST(ReviewPage, HasALineForEverySheetAndEveryPhotoThatWasNotUsed) {
  const EditionReview review = Reviewed();
  const std::string page = PageOf(review);
  for (const EditionSheet& s : review.sheets) EXPECT_THAT(page, HasSubstr(s.code.substr(0, 1) + "&lt;" + s.code.substr(2)));
  EXPECT_THAT(page, HasSubstr("<b>bad &amp; worse.jpg</b>: Is cut short."));
  EXPECT_THAT(page, HasSubstr("no mark and no order of people"));
  EXPECT_THAT(page, Not(HasSubstr("://")));        // Nothing from the network.
  EXPECT_THAT(page, Not(HasSubstr("src=\"/")));
}

TEST(ReviewPage, NamesEveryPictureAndHeadingForThoseWhoDoNotSeeThem) {
  const std::string page = PageOf(Reviewed());
  const auto all = [&](const char* pattern, const char* needs) {
    const std::regex tag(pattern);
    for (std::sregex_iterator it(page.begin(), page.end(), tag), end; it != end; ++it) EXPECT_THAT(it->str(), HasSubstr(needs));
  };
  all("<svg[^>]*>", "role=\"img\" aria-label=\"");
  all("<img[^>]*>", "alt=\"");
  all("<th[ >][^>]*>?", "scope=\"");
  all("<html[^>]*>", "lang=\"en\"");
  EXPECT_THAT(page, HasSubstr("<meta name=\"viewport\""));
  // One first heading, and no level left out.
  const std::regex heading("<h([1-6])");
  int before = 0, first = 0;
  for (std::sregex_iterator it(page.begin(), page.end(), heading), end; it != end; ++it) {
    const int level = std::stoi((*it)[1]);
    EXPECT_LE(level, before + 1);
    before = level;
    first += level == 1;
  }
  EXPECT_EQ(first, 1);
}

double Luminance(const std::string& hex) {
  double y = 0;
  const double weight[3] = {0.2126, 0.7152, 0.0722};
  for (std::size_t k = 0; k < 3; ++k) {
    const std::string two = hex.size() == 4 ? std::string(2, hex[k + 1]) : hex.substr(1 + 2 * k, 2);
    const double c = std::stoi(two, nullptr, 16) / 255.0;
    y += weight[k] * (c <= 0.04045 ? c / 12.92 : std::pow((c + 0.055) / 1.055, 2.4));
  }
  return y;
}

// WCAG 2.1, 1.4.3: words need a contrast of 4.5 to their ground, in the light and the dark.
TEST(ReviewPage, HasEnoughContrast) {
  const std::string style = kPageStyle;
  const std::regex theme(R"(:root\{([^}]*)\})");
  int themes = 0;
  for (std::sregex_iterator it(style.begin(), style.end(), theme), end; it != end; ++it) {
    const std::string colours = (*it)[1];
    const auto of = [&](const std::string& name) {
      std::smatch m;
      const std::regex value("--" + name + ":(#[0-9a-f]+)");
      return std::regex_search(colours, m, value) ? m[1].str() : std::string();
    };
    if (of("ink").empty()) continue;
    ++themes;
    for (const char* words : {"ink", "soft"}) {
      for (const char* ground : {"ground", "card", "note"}) {
        const double a = Luminance(of(words)), b = Luminance(of(ground));
        EXPECT_GE((std::max(a, b) + 0.05) / (std::min(a, b) + 0.05), 4.5) << words << " on " << ground;
      }
    }
  }
  EXPECT_EQ(themes, 2);
}

TEST(StudentPages, GiveEachPersonOnePageWithoutTheOthers) {
  const EditionReview review = Reviewed();
  const std::string pages = StudentPages(review);
  std::size_t sections = 0;
  for (std::size_t at = pages.find("<section"); at != std::string::npos; at = pages.find("<section", at + 1)) ++sections;
  EXPECT_EQ(sections, 6u);   // K1 has two sheets.
  const std::string one = StudentPages(review, "K1");
  EXPECT_THAT(one, HasSubstr(">K1<"));
  for (const EditionSheet& s : review.sheets) {
    if (!s.whose.empty()) continue;
    EXPECT_THAT(one, Not(HasSubstr(s.code.substr(0, 1) + "&lt;" + s.code.substr(2))));
  }
  EXPECT_THAT(one, HasSubstr("One thing to do next time"));
}

TEST(RecordPage, HoldsWhatThePrinterDecided) {
  EditionReview review = Reviewed();
  review.sheets[0].decision = Decision::kEdition;
  review.sheets[0].number = "1/12";
  review.sheets[1].decision = Decision::kReject;
  const std::string page = RecordPage(review);
  EXPECT_THAT(page, HasSubstr("1/12"));
  EXPECT_THAT(page, HasSubstr("1 of the edition, 0 artist&#39;s proofs, 1 reject, as the printer decided"));
  const auto pages = RecordPages(review);
  ASSERT_EQ(pages.size(), 1u);
  EXPECT_EQ(pages[0].width_mm, 210);
}

// A browser's word: no errors, nothing asked of the network, the table sorts.
class InABrowser : public ::testing::Test {
 protected:
  void SetUp() override {
    if (std::system("command -v chromium > /dev/null 2>&1") != 0) GTEST_SKIP() << "there is no chromium here";
  }
  std::string Dump(const std::string& page) {
    WriteFile(folder_ / "page.html", page);
    const std::string f = folder_.path().string();
    // A proxy that is not there: whatever is asked of the network fails and is logged.
    const std::string command = std::string("timeout 120 ") + kChromium + " --proxy-server=127.0.0.1:9 --enable-logging=stderr --user-data-dir=" + f +
                                "/profile --dump-dom file://" + f + "/page.html > " + f + "/dom.html 2> " + f + "/log.txt";
    EXPECT_EQ(std::system(command.c_str()), 0);
    EXPECT_THAT(ReadFile(folder_ / "log.txt"), Not(HasSubstr("CONSOLE")));
    return ReadFile(folder_ / "dom.html");
  }
  TemporaryFolder folder_;
};

TEST_F(InABrowser, TheReviewLoadsWithoutErrorsAndItsTableSorts) {
  const EditionReview review = Reviewed();
  const auto codes = [&](const std::string& page) {
    const std::string dom = Dump(page);
    std::vector<std::string> out;
    const std::regex row("<tr[^>]*><th scope=\"row\">([A-Z])&lt;");
    for (std::sregex_iterator it(dom.begin(), dom.end(), row), end; it != end; ++it) out.push_back((*it)[1]);
    return out;
  };
  EXPECT_THAT(codes(PageOf(review)), ElementsAre("A", "D", "G", "C", "F", "B", "E"));   // Order of printing.
  std::string page = PageOf(review);
  const std::string click = "<script>document.querySelector(\"table.sites th button\").click()</script>";
  page.insert(page.rfind("</body>"), click);
  EXPECT_THAT(codes(page), ElementsAre("A", "B", "C", "D", "E", "F", "G"));
  page.insert(page.rfind("</body>"), click);
  EXPECT_THAT(codes(page), ElementsAre("G", "F", "E", "D", "C", "B", "A"));
}

}  // namespace
}  // namespace truepull::testing
