// SPDX-License-Identifier: Apache-2.0
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "pages/html_text.h"
#include "support/sheets.h"
#include "truepull/pages.h"

namespace truepull {
namespace {

using ::testing::HasSubstr;
using ::testing::Not;

Reading SmallReading() {
  Reading reading;
  reading.plan = testing::RectanglePlan(3, 3);
  reading.plan.title = "Gulls <b>& \"waves\"</b>";
  reading.photo_name = "<img src=x onerror=alert(1)>.jpg";
  reading.sheet = testing::ReadingAtIdeal(reading.plan);
  reading.sheet.sites[2].found.at.x += 2;
  reading.sheet.sites[4].state = SiteState::kMissing;
  reading.sheet.sites[5].state = SiteState::kWeak;
  reading.sheet.findings = {"site C3 looks <odd>"};
  return reading;
}

std::string Page(const Reading& r) { return ReadingPage(r, MeasureDrift(r.plan, r.sheet), "JPEGBYTES"); }

int Count(const std::string& text, const std::string& what) {
  int n = 0;
  for (std::size_t at = text.find(what); at != std::string::npos; at = text.find(what, at + what.size())) ++n;
  return n;
}

TEST(ReadingPage, AsksNothingOfTheNetwork) {
  const std::string page = Page(SmallReading());
  for (const char* outside : {"http:", "https:", "src=\"/", "url(", "@import", "<link", "<iframe"}) {
    EXPECT_THAT(page, Not(HasSubstr(outside)));
  }
  EXPECT_THAT(page, HasSubstr("src=\"data:image/jpeg;base64," + Base64("JPEGBYTES")));
}

TEST(ReadingPage, ShowsStrangersTextAsText) {
  const std::string page = Page(SmallReading());
  EXPECT_THAT(page, Not(HasSubstr("<img src=x")));
  EXPECT_THAT(page, Not(HasSubstr("<odd>")));
  EXPECT_THAT(page, HasSubstr("Gulls &lt;b&gt;&amp; &quot;waves&quot;&lt;/b&gt;"));
}

TEST(ReadingPage, HoldsEverySiteAndSeam) {
  const Reading reading = SmallReading();
  const DriftReport drift = MeasureDrift(reading.plan, reading.sheet);
  const std::string page = Page(reading);
  const std::size_t table = page.find("<table class=\"sites\">");
  const std::string sites = page.substr(table, page.find("</table>", table) - table);
  EXPECT_EQ(Count(sites, "<tr"), 1 + 9);
  for (const char* label : {">A1<", ">B2<", ">C3<"}) EXPECT_THAT(sites, HasSubstr(label));
  EXPECT_EQ(Count(sites, "missing</td>"), 1);
  EXPECT_EQ(Count(sites, "weak</td>"), 1);
  EXPECT_THAT(sites, HasSubstr(">+2.00<"));
  const std::size_t seam_table = page.find("<table class=\"seams\">");
  EXPECT_EQ(Count(page.substr(seam_table, page.find("</table>", seam_table) - seam_table), "<tr>"),
            1 + static_cast<int>(drift.seams.size()));
  EXPECT_THAT(page, HasSubstr("A1 is row 0, column 0"));
}

TEST(ReadingPage, ClosesWhatItOpens) {
  for (const char* tag : {"svg", "table", "figure", "section", "div", "ul", "g", "main", "details"}) {
    const std::string page = Page(SmallReading());
    EXPECT_EQ(Count(page, std::string("<") + tag + ">") + Count(page, std::string("<") + tag + " "),
              Count(page, std::string("</") + tag + ">"))
        << tag;
  }
}

// A body in two parts of the plan's first colour, bare paper, a common drawing.
Reading ColouredReading() {
  Reading reading = SmallReading();
  reading.sheet.drawings = {{0, false, {{{20, 10}, {40, 10}, {40, 11}}}}};
  for (const SiteReading& r : reading.sheet.sites) {
    if (r.state == SiteState::kMissing) continue;
    PullColours p;
    p.site = r.site;
    p.charge = r.state == SiteState::kWeak ? Charge::kGhost : Charge::kFull;
    p.cell_mm = 30, p.cover = {"9.", "05"};
    const auto at = [&](double x, double y) { return Apply(r.found, {x, y}); };
    p.regions = {{RegionKind::kBody, 1500, {41.9, 9, -41.8}, {2, 1, 1}, 0, {{at(0, 0), at(60, 0), at(60, 45)}}},
                 {RegionKind::kOther, 99, {60, 50, 40}, {2, 1, 1}, -1, {{at(5, 40), at(20, 40), at(5, 30)}}},
                 {RegionKind::kDrawing, 20, {90, 0, 0}, {3, 1, 1}, -1, {}}};
    reading.sheet.colours.push_back(p);
  }
  return reading;
}

TEST(ReadingPage, ShowsColoursAsALayerThatATickBoxSwitchesOffWithoutScript) {
  const std::string page = Page(ColouredReading());
  const std::string script = page.substr(page.find("<script>"));
  EXPECT_THAT(page, HasSubstr("<input type=\"checkbox\" class=\"layers\" id=\"lines\" checked>"));
  EXPECT_THAT(page, HasSubstr(".layers:not(:checked)~figure .layer{visibility:hidden}"));
  EXPECT_THAT(script, Not(HasSubstr("layer")));
  // The layer lies on the picture: sheet of 420 x 297 and 12 mm all round.
  EXPECT_THAT(page, HasSubstr("<svg class=\"layer\" viewBox=\"-12.0 -12.0 444.0 321.0\""));
  EXPECT_EQ(Count(page, "class=\"drawing\""), 8);
  EXPECT_EQ(Count(page, "class=\"other\""), 8);
  // #3a62a8 is Lab 41.9, 9.0, -41.8 (tests/colour); names and numbers stand in the table.
  EXPECT_EQ(Count(page, "<td>body</td>"), 8);
  EXPECT_EQ(Count(page, "unknown: none of the plan's"), 8);
  EXPECT_EQ(Count(page, "ghost</td>"), 3);
  EXPECT_EQ(Count(Page(SmallReading()), "checkbox"), 0);
  for (const char* outside : {"http:", "https:", "url("}) EXPECT_THAT(page, Not(HasSubstr(outside)));
  for (const char* tag : {"svg", "g", "figure", "div", "defs", "table"}) {
    EXPECT_EQ(Count(page, std::string("<") + tag + ">") + Count(page, std::string("<") + tag + " "), Count(page, std::string("</") + tag + ">")) << tag;
  }
}

TEST(ReadingPage, AnEmptySheetHasAPageToo) {
  Reading reading = SmallReading();
  for (SiteReading& r : reading.sheet.sites) r.state = SiteState::kMissing;
  const std::string page = Page(reading);
  EXPECT_THAT(page, HasSubstr("0 of 9 sites printed: the sheet is empty."));
  EXPECT_THAT(page, Not(HasSubstr("nan")));
}

TEST(Base64, GivesTheExamplesOfRfc4648) {
  EXPECT_EQ(Base64(""), "");
  EXPECT_EQ(Base64("f"), "Zg==");
  EXPECT_EQ(Base64("fo"), "Zm8=");
  EXPECT_EQ(Base64("foo"), "Zm9v");
  EXPECT_EQ(Base64("foobar"), "Zm9vYmFy");
}

}  // namespace
}  // namespace truepull
