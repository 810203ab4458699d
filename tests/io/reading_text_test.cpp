// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <sstream>

#include "support/sheets.h"
#include "truepull/reading_text.h"

namespace truepull {
namespace {

using testing::ReadingAtIdeal;
using testing::RectanglePlan;

// A reading with something in every field, different for each seed.
Reading AnyReading(unsigned seed) {
  std::mt19937_64 random(seed);
  std::uniform_real_distribution<double> unit(-1, 1);
  Reading reading;
  reading.plan = RectanglePlan(2 + static_cast<int>(seed % 3), 3);
  reading.plan.title = "Gulls: \"trial\" 3 # not a remark";
  reading.plan.lattice.turns_rad = {0, std::numbers::pi};
  reading.photo_name = "gulls of the harbour, no. 7.jpg";
  reading.sheet = ReadingAtIdeal(reading.plan);
  SheetReading& sheet = reading.sheet;
  testing::Scatter(sheet, 0.5, 0.01, random);
  for (SiteReading& r : sheet.sites) {
    r.covariance = DiagonalCovariance(0.05 + 0.01 * unit(random), 0.04, 0.001);
    r.covariance[1] = r.covariance[3] = 0.3 * unit(random) * 0.04 * 0.04;
    r.covariance[2] = r.covariance[6] = 0.3 * unit(random) * 0.04 * 0.001;
    r.coverage = 0.5 + 0.4 * unit(random);
    r.strength = 0.9 + 0.3 * unit(random);
    r.growth_mm = 0.1 * unit(random);
    r.body_colour = "#3a62a8";
    r.colour = static_cast<int>(seed % 2);
  }
  sheet.sites[1].state = SiteState::kWeak;
  const Site missing = sheet.sites[4].site;
  sheet.sites[4] = {};
  sheet.sites[4].site = missing;
  sheet.sites[4].coverage = 0.01;
  for (const SiteReading& r : sheet.sites) {
    if (r.state == SiteState::kMissing) continue;
    PullColours p;
    p.site = r.site;
    p.charge = static_cast<Charge>(seed % 3);
    p.left_out = 0.0125, p.overlapped = 0.25, p.cell_mm = 7.5;
    p.cover = {".09", "987"};
    const Outline square{{30.5, 24}, {40, 24}, {40, 34.5}};
    p.regions = {{RegionKind::kBody, 1234.5, {41.25, -3.5, -38.75}, {4.5, 0.25, 3}, 1, {square, {{32, 25}, {33, 25}, {33, 26}}}},
                 {RegionKind::kOther, 50, {71, 3.5, 8}, {1, 2, 3}, -1, {square}},
                 {RegionKind::kDrawing, 12.5, {90, 1, 2}, {3, 2, 1}, -1, {}}};
    sheet.colours.push_back(p);
  }
  if (seed % 2 == 0) sheet.drawings = {{0, true, {{{1.5, 2}, {3, 2}, {3, 4.5}}}}};
  sheet.camera.h = {9.1 + unit(random), 0.02 * unit(random), 200, 0.03, 9.3, 150, 1e-5 * unit(random), 2e-5, 1};
  sheet.camera.k1 = 0.05 * unit(random);
  sheet.camera.k2 = 0.01 * unit(random);
  sheet.camera.centre = {2015.5, 1511.5};
  sheet.camera.focal_px = 2983.68;
  sheet.photo_width_px = 4032, sheet.photo_height_px = 3024;
  sheet.state = static_cast<SheetState>(seed % 3);
  sheet.sd_scale_x = 0.0012, sheet.sd_scale_y = 0.0017;
  sheet.sd_frame_mm = 0.013, sheet.sd_blur_mm = 0.12;
  sheet.findings = {"site B2 is \"upside down\": turned by 180 degrees"};
  if (seed % 2 == 1) {
    sheet.left_over = {{{{211.25, 77.5}, RadFromDeg(2)}, 0.75}};
    PlateReading plate;
    plate.plate = reading.plan.plates.front().name;
    plate.size = 1.025;
    plate.sd_size = 0.002;
    plate.sides = {{"right", -0.8, 0.03, 44.5}};
    plate.outline = reading.plan.plates.front().outline;
    sheet.plates = {plate};
    reading.plan.lattice.fit_origin = reading.plan.lattice.fit_turn = true;
  }
  sheet.notes = {"the table is pale; a darker one shows the edges better", "one #2"};
  return reading;
}

std::string Write(const Reading& r) { return WriteReading(r, MeasureDrift(r.plan, r.sheet)); }

TEST(ReadingText, ReadsBackWhatItWrote) {
  for (unsigned seed = 0; seed < 40; ++seed) {
    const Reading first = AnyReading(seed);
    const auto second = ParseReading(Write(first), "reading.yaml");
    ASSERT_TRUE(second) << seed << second.error().message;
    ASSERT_EQ(second->sheet.sites.size(), first.sheet.sites.size());
    for (std::size_t i = 0; i < first.sheet.sites.size(); ++i) {
      const SiteReading &a = first.sheet.sites[i], &b = second->sheet.sites[i];
      EXPECT_EQ(a.site, b.site);
      EXPECT_EQ(a.state, b.state);
      EXPECT_NEAR(a.found.at.x, b.found.at.x, 5.1e-7);
      EXPECT_NEAR(a.found.at.y, b.found.at.y, 5.1e-7);
      EXPECT_NEAR(WrapTurn(a.found.turn_rad - b.found.turn_rad), 0, RadFromDeg(5.1e-8));
      for (std::size_t k = 0; k < 9; ++k) EXPECT_NEAR(a.covariance[k], b.covariance[k], 2e-7);
      EXPECT_EQ(a.body_colour, b.body_colour);
      EXPECT_EQ(a.colour, b.colour);
    }
    EXPECT_EQ(second->sheet.camera.h, first.sheet.camera.h);  // Every digit.
    EXPECT_EQ(second->sheet.camera.k1, first.sheet.camera.k1);
    EXPECT_EQ(second->sheet.camera.centre, first.sheet.camera.centre);
    EXPECT_EQ(second->sheet.findings, first.sheet.findings);
    EXPECT_EQ(second->sheet.notes, first.sheet.notes);
    EXPECT_EQ(second->sheet.state, first.sheet.state);
    EXPECT_EQ(second->sheet.colours, first.sheet.colours);
    EXPECT_EQ(second->sheet.drawings, first.sheet.drawings);
    ASSERT_EQ(second->sheet.left_over.size(), first.sheet.left_over.size());
    ASSERT_EQ(second->sheet.plates.size(), first.sheet.plates.size());
    if (!first.sheet.plates.empty()) {
      EXPECT_NEAR(second->sheet.left_over[0].found.at.x, first.sheet.left_over[0].found.at.x, 1e-6);
      EXPECT_EQ(second->sheet.plates[0].plate, first.sheet.plates[0].plate);
      EXPECT_NEAR(second->sheet.plates[0].size, first.sheet.plates[0].size, 1e-6);
      EXPECT_EQ(second->sheet.plates[0].sides, first.sheet.plates[0].sides);
      EXPECT_EQ(second->sheet.plates[0].outline, first.sheet.plates[0].outline);
    }
    // A fitted lattice stands there in numbers, and as fitted.
    EXPECT_EQ(second->plan.lattice.origin, first.plan.lattice.origin);
    EXPECT_EQ(second->plan.lattice.fit_origin, first.plan.lattice.fit_origin);
    EXPECT_EQ(second->plan.lattice.fit_turn, first.plan.lattice.fit_turn);
    EXPECT_FALSE(second->plan.lattice.fit_rows);
    EXPECT_EQ(second->photo_name, first.photo_name);
    EXPECT_EQ(second->plan.title, first.plan.title);
    // From here on nothing changes any more, to the last digit.
    const auto third = ParseReading(Write(*second), "reading.yaml");
    ASSERT_TRUE(third);
    EXPECT_EQ(third->sheet.sites, second->sheet.sites) << seed;
    EXPECT_EQ(Write(*third), Write(*second)) << seed;
  }
}

std::string MessageOf(const std::string& text) {
  const auto r = ParseReading(text, "reading.yaml");
  return r ? "read" : r.error().message.substr(0, r.error().message.find('\n'));
}

std::string With(std::string text, const std::string& from, const std::string& to) {
  const std::size_t at = text.find(from);
  EXPECT_NE(at, std::string::npos) << from;
  return text.replace(at, from.size(), to);
}

int LineOf(const std::string& text, const std::string& what) {
  const std::size_t at = text.find(what);
  return 1 + static_cast<int>(std::count(text.begin(), text.begin() + static_cast<std::ptrdiff_t>(at), '\n'));
}

TEST(ReadingText, SaysWhereAndWhatIsWrong) {
  const std::string good = Write(AnyReading(1));
  ASSERT_EQ(MessageOf(good), "read");
  EXPECT_EQ(MessageOf(With(good, "state: weak", "state: week")),
            fmt::format("reading.yaml:{}:42: sites[1].state must be printed, weak or missing, not week",
                        LineOf(good, "state: weak")));
  EXPECT_EQ(MessageOf(With(good, "row: 0, column: 2", "row: 0, column: 1")),
            fmt::format("reading.yaml:{}:5: sites[2] must be row 0, column 2 (A3), not row 0, column 1",
                        LineOf(good, "row: 0, column: 2")));
  EXPECT_EQ(MessageOf(With(good, "kind: reading", "kind: plan")),
            fmt::format("reading.yaml:{}:7: kind must be reading, not plan", LineOf(good, "kind: reading")));
  EXPECT_EQ(MessageOf(With(good, "\nphoto: ", "\nfoto: ")),
            fmt::format("reading.yaml:{}:1: foto is not a key that is known here", LineOf(good, "photo: ")));
  EXPECT_EQ(MessageOf(With(good, "{site: A2, charge", "{site: A3, charge")).substr(MessageOf(With(good, "{site: A2, charge", "{site: A3, charge")).find("regions")),
            "regions[1].site must be A2, not A3");
  EXPECT_NE(MessageOf(With(good, "\".09\"", "\".x9\"")).find("must hold digits and dots only, not .x9"), std::string::npos);
  EXPECT_NE(MessageOf(With(good, "kind: body", "kind: bodies")).find("must be body, edge, other, bare or drawing"), std::string::npos);
  EXPECT_NE(MessageOf(With(good, "  rows: 3", "  rows: 0")).find("plan.lattice.rows must be 1"), std::string::npos);
  EXPECT_NE(MessageOf(With(good, "  rows: 3", "  rows: 4")).find("sites"), std::string::npos);
  EXPECT_NE(MessageOf(With(good, "  h: [", "  h: [nan, ")).find("camera.h"), std::string::npos);
  EXPECT_EQ(MessageOf("truepull: 1\n").substr(0, 13), "reading.yaml:");
  EXPECT_NE(MessageOf(""), "read");
}

TEST(ReadingText, NoCutOfAReadingIsTakenForAWholeOne) {
  const std::string good = Write(AnyReading(2));
  for (std::size_t n = 0; n + 200 < good.size(); n += 97) EXPECT_NE(MessageOf(good.substr(0, n)), "read") << n;
}

TEST(DriftCsv, HasTheColumnsAndLeavesMissingNumbersEmpty) {
  Reading reading = AnyReading(3);
  reading.sheet.sites[0].found.at = IdealPose(reading.plan.lattice, {0, 0}).at + Point{0.25, -0.00001};
  reading.sheet.sites[0].found.turn_rad = RadFromDeg(-0.5);
  reading.sheet.sites[0].covariance = DiagonalCovariance(0.04, 0.05, RadFromDeg(0.06));
  reading.sheet.sites[0].coverage = 0.93;
  std::istringstream lines(WriteDriftCsv(reading, MeasureDrift(reading.plan, reading.sheet)));
  std::string line;
  std::getline(lines, line);
  EXPECT_EQ(line, "row,column,state,x_mm,y_mm,turn_deg,dx_mm,dy_mm,dturn_deg,sd_x_mm,sd_y_mm,sd_turn_deg,coverage");
  std::getline(lines, line);
  EXPECT_EQ(line, "0,0,printed,30.2500,24.0000,-0.5000,0.2500,0.0000,-0.5000,0.0400,0.0500,0.0600,0.9300");
  for (int i = 0; i < 4; ++i) std::getline(lines, line);
  EXPECT_EQ(line, "1,1,missing,,,,,,,,,,0.0100");
  int rows = 5;
  while (std::getline(lines, line)) ++rows;
  EXPECT_EQ(rows, static_cast<int>(reading.sheet.sites.size()));
}

}  // namespace
}  // namespace truepull
