// SPDX-License-Identifier: Apache-2.0
// The words of a finished guide.pdf: all there, and in the order in which they are read.
#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cctype>
#include <iterator>
#include <regex>

#include "support/guide_runs.h"

namespace truepull::testing {
namespace {

using ::testing::HasSubstr;

std::string Unescaped(std::string text) {
  for (const auto& [from, to] : {std::pair{"&lt;", "<"}, {"&gt;", ">"}, {"&quot;", "\""}, {"&amp;", "&"}}) {
    for (std::size_t at = text.find(from); at != std::string::npos; at = text.find(from, at + 1)) text.replace(at, std::string(from).size(), to);
  }
  return text;
}

// Words of an SVG's texts in the order of the file.
std::vector<std::string> SvgWords(const std::string& svg) {
  std::vector<std::string> out;
  const std::regex text("<text[^>]*>([^<]*)</text>");
  for (std::sregex_iterator it(svg.begin(), svg.end(), text), end; it != end; ++it) {
    std::istringstream in(Unescaped((*it)[1]));
    for (std::string word; in >> word;) out.push_back(word);
  }
  return out;
}

std::vector<std::string> Split(const std::string& text) {
  std::istringstream in(text);
  return {std::istream_iterator<std::string>(in), {}};
}

std::vector<std::string> PdfText(const std::filesystem::path& pdf, const std::string& how) {
  std::vector<std::string> pages;
  std::string text = OutputOf("pdftotext " + how + " '" + pdf.string() + "' -");
  std::istringstream in(text);
  for (std::string page; std::getline(in, page, '\f');) {
    if (!Spaced(page).empty()) pages.push_back(Spaced(page));
  }
  return pages;
}

// Two writers, one page: every word of the SVG is in the PDF, in the same order.
TEST(GuideWords, ThePdfHoldsEveryWordOfTheDrawingInItsOrder) {
  if (!HasPoppler()) GTEST_SKIP() << "poppler's pdftotext is not installed";
  for (const bool dense : {false, true}) {
    for (const UseCase& use : Uses()) {
      SCOPED_TRACE(use.name);
      std::vector<std::string> flags = use.flags;
      flags.insert(flags.end(), {"--paper", "sheet", "--date", "27 November"});
      const auto w = Next(dense ? Dense() : Gutter(), flags);
      const bool parts = std::filesystem::exists(w->out() / "guide-part-1.svg");
      const auto drawn = SvgWords(ReadFile(w->out() / (parts ? "guide-part-1.svg" : "guide.svg")));
      const auto pages = PdfText(w->out() / "guide.pdf", "-raw");
      ASSERT_FALSE(pages.empty());
      EXPECT_GT(drawn.size(), 300u);
      EXPECT_EQ(Split(pages[0]), drawn);
    }
  }
}

// As people read it: the heading first, then the sites row by row, every block's sentences
// whole and in order: as the file has it, and on A4 and letter as poppler reads the page.
TEST(GuideWords, AreReadInOrderOnEveryPageOfEveryPaper) {
  if (!HasPoppler()) GTEST_SKIP() << "poppler's pdftotext is not installed";
  for (const char* paper : {"A4", "letter", "A3", "tabloid", "sheet"}) {
    for (const UseCase& use : Uses()) {
      std::vector<std::string> flags = use.flags;
      flags.insert(flags.end(), {"--paper", paper, "--date", "27 November"});
      const auto w = Next(Gutter(), flags);
      for (const char* how : {"-raw", ""}) {
        // On larger papers poppler's own guess at columns takes some aligned lines for a table.
        if (*how == '\0' && std::string(paper) != "A4" && std::string(paper) != "letter") continue;
        SCOPED_TRACE(fmt::format("{} on {}, pdftotext {}", use.name, paper, how));
        const auto pages = PdfText(w->out() / "guide.pdf", how);
        std::string all;
        std::size_t last_site = 0;
        int sites = 0;
        for (std::size_t i = 0; i < pages.size(); ++i) {
          const std::string& page = pages[i];
          all += page + " ";
          const std::string face = UseLookOf(use.use).mirrored ? "MIRRORED:" : "SEEN FROM THE PRINTED FACE";
          if (*how != '\0') {
            EXPECT_EQ(page.rfind(face, 0), 0u) << page.substr(0, 80);
          }
          // Face, use, title with pass, sheet and date, state: before anything else is said.
          std::size_t at = page.find(face);
          for (const std::string& next : {std::string(UseLookOf(use.use).heading), std::string("Harbour proof; pass: next; sheet: proof; 27 November"),
                                         std::string("NOT CORRECTED FOR DAMPNESS")}) {
            ASSERT_NE(at, std::string::npos);
            at = page.find(next, at);
          }
          ASSERT_NE(at, std::string::npos) << page.substr(0, 300);
          if (*how == '\0') continue;
          // Sites in the order of rows and columns on a page.
          last_site = 0;
          const std::regex label(" ([A-C])([1-4]) (pull|look|strengthen)");
          for (std::sregex_iterator it(page.begin(), page.end(), label), end; it != end; ++it) {
            const std::size_t site = static_cast<std::size_t>(4 * ((*it)[1].str()[0] - 'A') + std::stoi((*it)[2]));
            EXPECT_GT(site, last_site);
            last_site = site;
            ++sites;
          }
        }
        if (*how != '\0') {
          EXPECT_EQ(sites, 12);
        }
        // Steps, each whole, in order, after their heading.
        std::size_t at = all.find("Step by step: ");
        for (const std::string& step : StepsOf(use.use)) {
          ASSERT_NE(at, std::string::npos) << step;
          at = all.find(step, at);
        }
        EXPECT_NE(at, std::string::npos);
        for (const char* sentence :
             {"Print at 100 %, with no fitting to the page.", "Measure both bars, from middle to middle of the long strokes: 100 mm each.",
              "Pencil ticks that were 200 mm apart in the photo should measure 200.0 mm in width and 200.0 mm in height as you pull",
              "Rows have letters, columns have numbers: A1 is row 0, column 0 in the files, and C4 is row 2, column 3.",
              "The plate may show either face: its outline is its own mirror image, so the fit cannot tell which face is up.",
              "The plate also fits turned by 180 degrees; the fit cannot tell.",
              "Look before you pull (where no impression was found, the place drawn fits the neighbours): A3.",
              "Strengthen the weak impression where it lies: B1.", "Your school's or workshop's own safety rules come first."}) {
          EXPECT_THAT(all, HasSubstr(sentence));
        }
      }
    }
  }
}

// Pages say how they are placed, by what is there; uses that are not laid on the sheet say so.
TEST(GuideWords, EveryPageSaysHowItIsPlaced) {
  if (!HasPoppler()) GTEST_SKIP() << "poppler's pdftotext is not installed";
  for (const UseCase& use : Uses()) {
    SCOPED_TRACE(use.name);
    const auto w = Next(Gutter(), use.flags);
    int placed = 0;
    for (const std::string& page : PdfText(w->out() / "guide.pdf", "-raw")) {
      if (page.find("read this first") != std::string::npos || page.find(": how to use it") != std::string::npos) continue;
      ++placed;
      const bool rings = page.find("Place this page: ring P on the ") != std::string::npos;
      const bool edges = page.find("edges on their lines, its corner in the bracket") != std::string::npos;
      switch (use.use) {
        case GuideUse::kPlateFace:
        case GuideUse::kPlateBack: EXPECT_THAT(page, HasSubstr("Not laid on the sheet: lay the plate on this page's sites.")); break;
        case GuideUse::kMask:
          EXPECT_TRUE(page.find("Place this page: impression") != std::string::npos || rings || edges) << page;
          EXPECT_THAT(page, HasSubstr("Cut on a mat, away from the body"));  // What is cut has the cautions beside it.
          EXPECT_THAT(page, HasSubstr("safety rules come first"));
          break;
        case GuideUse::kBack:
          EXPECT_TRUE(rings);
          EXPECT_THAT(page, HasSubstr(", both seen through the sheet"));
          break;
        default:
          EXPECT_TRUE(rings);
          EXPECT_EQ(page.find("seen through the sheet"), std::string::npos);
      }
    }
    EXPECT_GT(placed, 1);
  }
}

}  // namespace
}  // namespace truepull::testing
