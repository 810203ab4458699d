// SPDX-License-Identifier: Apache-2.0
// guide.pdf looked into with libqpdf, guide.svg as text.
#define POINTERHOLDER_TRANSITION 4
#include <gmock/gmock.h>
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <qpdf/QPDF.hh>
#include <qpdf/QPDFPageDocumentHelper.hh>
#include <qpdf/QPDFPageObjectHelper.hh>
#include <set>

#include "support/guides.h"
#include "truepull/draw.h"

namespace truepull::testing {
namespace {

using ::testing::HasSubstr;

TEST(DrawPdf, AsksNotToBeScaledAndHasRightBoxesAndFonts) {
  const auto pages = LayOutPages(GuideOf(RectanglePlan(5, 6)), Paper::kA4);
  const auto bytes = DrawPdf(pages, "Möwen am Hafen");
  ASSERT_TRUE(bytes.has_value()) << bytes.error().message;
  QPDF pdf;
  pdf.processMemoryFile("guide", bytes->data(), bytes->size());
  auto root = pdf.getRoot();
  EXPECT_EQ(root.getKey("/ViewerPreferences").getKey("/PrintScaling").getName(), "/None");
  EXPECT_TRUE(root.getKey("/ViewerPreferences").getKey("/DisplayDocTitle").getBoolValue());
  EXPECT_EQ(root.getKey("/Lang").getUTF8Value(), "en");
  EXPECT_EQ(pdf.getTrailer().getKey("/Info").getKey("/Title").getUTF8Value(), "Möwen am Hafen");
  EXPECT_FALSE(pdf.getTrailer().getKey("/Info").hasKey("/CreationDate"));
  EXPECT_GE(pdf.getPDFVersion(), "1.6");
  const auto all = QPDFPageDocumentHelper(pdf).getAllPages();
  ASSERT_EQ(all.size(), pages.size());
  ASSERT_GE(all.size(), 5u);
  std::set<std::string> fonts;
  for (auto page : all) {
    auto object = page.getObjectHandle();
    EXPECT_FALSE(object.hasKey("/UserUnit"));
    for (const char* box : {"/MediaBox", "/CropBox", "/TrimBox"}) {
      auto b = object.getKey(box);
      ASSERT_TRUE(b.isArray()) << box;
      // A4 lying: 297 x 210 mm are 841.890 x 595.276 points.
      EXPECT_NEAR(b.getArrayItem(2).getNumericValue() - b.getArrayItem(0).getNumericValue(), 841.890, 0.002) << box;
      EXPECT_NEAR(b.getArrayItem(3).getNumericValue() - b.getArrayItem(1).getNumericValue(), 595.276, 0.002) << box;
    }
  }
  int embedded = 0;
  for (auto object : pdf.getAllObjects()) {
    if (!object.isDictionary() || !object.hasKey("/Type") || object.getKey("/Type").getName() != "/FontDescriptor") continue;
    EXPECT_TRUE(object.hasKey("/FontFile") || object.hasKey("/FontFile2") || object.hasKey("/FontFile3"));
    ++embedded;
  }
  EXPECT_GE(embedded, 2);  // Regular and bold.
}

TEST(DrawPdf, GivesTheSameBytesForTheSamePages) {
  const auto pages = LayOutPages(GuideOf(RectanglePlan(2, 3)), Paper::kA3);
  EXPECT_EQ(DrawPdf(pages, "x").value(), DrawPdf(pages, "x").value());
}

TEST(DrawSvg, IsInMillimetresWithAnIdPerSite) {
  const Plan plan = RectanglePlan(5, 6);
  const Guide guide = GuideOf(plan);
  const GuidePage page = LayOutWholeSheet(guide);
  const std::string svg = DrawSvg(page, "Gulls & <waves>");
  EXPECT_THAT(svg, HasSubstr("<title>Gulls &amp; &lt;waves&gt;</title>"));
  EXPECT_THAT(svg, HasSubstr("mm\" viewBox=\""));
  std::set<std::string> ids;
  for (std::size_t at = svg.find("<g id=\""); at != std::string::npos; at = svg.find("<g id=\"", at + 1)) {
    const std::string id = svg.substr(at + 7, svg.find('"', at + 7) - at - 7);
    EXPECT_TRUE(ids.insert(id).second) << id << " twice";
  }
  EXPECT_EQ(ids.size(), 30u);
  for (const Site site : AllSites(plan.lattice)) {
    EXPECT_EQ(ids.count(fmt::format("site-{}-{}", site.row, site.column)), 1u);
    EXPECT_THAT(svg, HasSubstr(fmt::format(">{}</text>", SiteLabel(site))));
  }
}

}  // namespace
}  // namespace truepull::testing
