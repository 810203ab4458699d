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
