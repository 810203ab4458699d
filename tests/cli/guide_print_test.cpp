// SPDX-License-Identifier: Apache-2.0
// True to size: printers that are off, profiles, a folder's one PDF, markers on paper.
#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cstdlib>
#include <opencv2/aruco.hpp>
#include <opencv2/calib3d.hpp>

#include "support/guide_files.h"
#include "support/harbour_plan.h"
#include "support/program.h"
#include "support/raster.h"
#include "support/sheets.h"
#include "truepull/drift.h"
#include "truepull/marker_cards.h"
#include "truepull/plan_text.h"
#include "truepull/reading_text.h"

namespace truepull::testing {
namespace {

using ::testing::HasSubstr;
namespace fs = std::filesystem;

std::string HarbourReading() {
  Reading reading;
  reading.plan = ParsePlan(With("kind: layer}", "kind: layer, pulled: damp}"), "plan.yaml")->plan;
  reading.sheet = ReadingAtIdeal(reading.plan);
  reading.sheet.state = SheetState::kDamp;  // As at the pull: nothing is left to be said of it.
  reading.photo_name = "sheet.jpg";
  reading.sheet.photo_width_px = 4000;
  reading.sheet.photo_height_px = 3000;
  return WriteReading(reading, MeasureDrift(reading.plan, reading.sheet));
}

// Lengths of the 100 mm bars of a page, in the file's own millimetres: x, then y.
std::array<double, 2> Bars(const SvgFile& svg, const Raster& page, double scale_x, double scale_y) {
  std::array<double, 2> out{};
  for (const SvgPath& p : svg.paths) {
    if (p.kind != "bar" || std::abs(Norm(p.points[1] - p.points[0]) - 100) > 1e-3) continue;
    const bool along_x = p.points[0].y == p.points[1].y;
    const auto on_page = [&](Point q) { return Point{(q.x - svg.view.left) * scale_x, (q.y - svg.view.top) * scale_y}; };
    const Point along = along_x ? Point{1, 0} : Point{0, 1}, normal{-along.y, along.x};
    const Point a = on_page(p.points[0]), b = on_page(p.points[1]);
    const auto first = page.LineOffset(a + 1.7 * normal, along, 0.25), last = page.LineOffset(b + 1.7 * normal, along, 0.25);
    if (first && last) out[along_x ? 0 : 1] = Norm(b - a) + *last - *first;
  }
  return out;
}

TEST(GuidePrint, MeasuredBarsComeOutTrueOnThatPrinter) {
  if (!HasPoppler()) GTEST_SKIP() << "poppler's pdftoppm is not installed";
  const TemporaryFolder folder;
  WriteFile(folder / "reading.yaml", HarbourReading());
  const ProgramRun run = RunTruepull({"next", "reading.yaml", "--paper", "sheet", "--measured", "x=198.5,y=199.2", "--out", "out"}, folder.path());
  EXPECT_EQ(run.exit_code, 0) << run.err;
  const SvgFile svg = ParseSvg(ReadFile(folder / "out/guide.svg"));
  const auto pages = Rasterise(folder / "out/guide.pdf", 400, folder.path());
  const auto bars = Bars(svg, pages[0], 200 / 198.5, 200 / 199.2);
  // What that printer makes of the file: 198.5 for 200 in x, 199.2 in y.
  EXPECT_NEAR(2 * bars[0] * 198.5 / 200, 200, 0.1);
  EXPECT_NEAR(2 * bars[1] * 199.2 / 200, 200, 0.1);
  EXPECT_GT(bars[0], 100.5);
  EXPECT_GT(bars[1], 100.2);
  // Coordinates stay sheet millimetres; the drawing's size carries the correction.
  EXPECT_NEAR(svg.width_mm / svg.view.Width(), 200 / 198.5, 1e-4);
  EXPECT_NEAR(svg.height_mm / svg.view.Height(), 200 / 199.2, 1e-4);
  const std::string words = Spaced(OutputOf("pdftotext -raw '" + (folder / "out/guide.pdf").string() + "' -"));
  EXPECT_THAT(words, HasSubstr("whose 200 mm came out as 198.50 in width and 199.20 in height"));
  std::printf("corrected bars as printed: %.3f and %.3f mm of 100\n", bars[0] * 198.5 / 200, bars[1] * 199.2 / 200);
}

TEST(GuidePrint, CorrectedPagesKeepThePapersSizeAndItsMargins) {
  if (!HasPoppler()) GTEST_SKIP() << "poppler's pdftoppm is not installed";
  const TemporaryFolder folder;
  WriteFile(folder / "reading.yaml", HarbourReading());
  const ProgramRun run = RunTruepull({"next", "reading.yaml", "--measured", "x=197,y=196.5", "--out", "out"}, folder.path());
  EXPECT_EQ(run.exit_code, 0) << run.err;
  for (const Raster& page : Rasterise(folder / "out/guide.pdf", 100, folder.path())) {
    // Lying or standing, whichever takes fewer pages.
    const double width = page.width * page.mm_per_px, height = page.height * page.mm_per_px;
    EXPECT_NEAR(std::max(width, height), 297, 0.3);
    EXPECT_NEAR(std::min(width, height), 210, 0.3);
    double edge = 0;  // Ink within 6 mm of the paper's edge, where home printers cannot print.
    for (const double off : {3.0, 5.5}) {
      for (double x = 0; x < width; x += 0.5) edge = std::max({edge, page.Ink({x, off}), page.Ink({x, height - off})});
      for (double y = 0; y < height; y += 0.5) edge = std::max({edge, page.Ink({off, y}), page.Ink({width - off, y})});
    }
    EXPECT_EQ(edge, 0);
  }
}

TEST(GuidePrint, KeepsAPrintersProfileAndSaysWhenPagesWereFitted) {
  const TemporaryFolder folder;
  WriteFile(folder / "reading.yaml", HarbourReading());
  setenv("TRUEPULL_PRINTERS", (folder / "printers").c_str(), 1);
  const auto next = [&](std::vector<std::string> more, const std::string& out) {
    more.insert(more.begin(), {"next", "reading.yaml", "--out", out});
    return RunTruepull(more, folder.path());
  };
  const ProgramRun unknown = next({"--printer", "class-2"}, "a");
  EXPECT_EQ(unknown.exit_code, 1);
  EXPECT_THAT(unknown.err, HasSubstr("--printer class-2: nothing is kept under this name"));
  EXPECT_FALSE(fs::exists(folder / "a"));
  const ProgramRun kept = next({"--printer", "class-2", "--measured", "x=198.5,y=199.2"}, "b");
  EXPECT_EQ(kept.exit_code, 0) << kept.err;
  EXPECT_THAT(ReadFile(folder / "printers/class-2.yaml"), HasSubstr("measured: {x: 198.500, y: 199.200}"));
  const ProgramRun again = next({"--printer", "class-2"}, "c");
  EXPECT_EQ(again.exit_code, 0) << again.err;
  EXPECT_EQ(ReadFile(folder / "b/guide.pdf"), ReadFile(folder / "c/guide.pdf"));
  const ProgramRun fitted = next({"--measured", "x=193.9,y=194.1"}, "d");
  EXPECT_EQ(fitted.exit_code, 3);
  EXPECT_THAT(fitted.err, HasSubstr("fitting to the page was probably on"));
  WriteFile(folder / "printers/bad.yaml", "truepull: 1\nkind: printer\nmeasured: {x: 90, y: 200}\n");
  const ProgramRun bad = next({"--printer", "bad"}, "e");
  EXPECT_EQ(bad.exit_code, 1);
  EXPECT_THAT(bad.err, HasSubstr("measured.x"));
  unsetenv("TRUEPULL_PRINTERS");
}

TEST(GuidePrint, AFolderGivesOnePdfInTheOrderOfCodes) {
  if (!HasPoppler()) GTEST_SKIP() << "poppler's pdftotext is not installed";
  const TemporaryFolder folder;
  for (const char* name : {"g-10", "g-02", "g-01"}) {
    fs::create_directories(folder / "read" / name);
    std::string text = HarbourReading();
    const auto at = text.find("sheet.jpg");
    text.replace(at, 9, std::string(name) + ".jpg");
    WriteFile(folder / "read" / name / "reading.yaml", text);
  }
  const ProgramRun run = RunTruepull({"next", "read", "--out", "out"}, folder.path());
  EXPECT_EQ(run.exit_code, 0) << run.err;
  const std::size_t each = PdfWords(folder / "out/g-01/guide.pdf").size();
  const auto pages = PdfWords(folder / "out/guides.pdf");
  ASSERT_EQ(pages.size(), 3 * each);
  for (std::size_t i = 0; i < pages.size(); ++i) {
    std::string words;
    for (const PdfWord& w : pages[i]) words += w.text + " ";
    const char* names[] = {"sheet: g-01", "sheet: g-02", "sheet: g-10"};
    EXPECT_THAT(words, HasSubstr(names[i / each]));
  }
}

TEST(GuidePrint, PicturesHaveTheResolutionAsked) {
  const TemporaryFolder folder;
  WriteFile(folder / "reading.yaml", HarbourReading());
  const ProgramRun run = RunTruepull({"next", "reading.yaml", "--png", "100", "--out", "out"}, folder.path());
  EXPECT_EQ(run.exit_code, 0) << run.err;
  const std::string png = ReadFile(folder / "out/guide-1.png");
  const auto number = [&](std::size_t at) {
    return (static_cast<unsigned char>(png[at]) << 24) | (static_cast<unsigned char>(png[at + 1]) << 16) |
           (static_cast<unsigned char>(png[at + 2]) << 8) | static_cast<unsigned char>(png[at + 3]);
  };
  EXPECT_EQ(std::max(number(16), number(20)), 1169);  // 297 mm at 100 to the inch ...
  EXPECT_EQ(std::min(number(16), number(20)), 827);   // ... and 210.
  // pHYs: dots per metre, so that other programs print it true to size too.
  const auto phys = png.find("pHYs");
  ASSERT_NE(phys, std::string::npos);
  EXPECT_NEAR(number(phys + 4), 100 / 0.0254, 1);
}

struct FoundMarkers {
  std::map<int, std::array<Point, 4>> corners;  // Page mm.
};

FoundMarkers MarkersIn(const Raster& page) {
  cv::Mat grey(page.height, page.width, CV_8U, const_cast<std::uint8_t*>(page.grey.data()));
  std::vector<std::vector<cv::Point2f>> corners;
  std::vector<int> ids;
  auto parameters = cv::aruco::DetectorParameters::create();
  parameters->cornerRefinementMethod = cv::aruco::CORNER_REFINE_SUBPIX;
  cv::aruco::detectMarkers(grey, cv::aruco::getPredefinedDictionary(cv::aruco::DICT_5X5_1000), corners, ids, parameters);
  FoundMarkers out;
  for (std::size_t i = 0; i < ids.size(); ++i) {
    for (std::size_t k = 0; k < 4; ++k) {
      out.corners[ids[i]][k] = {(corners[i][k].x + 0.5) * page.mm_per_px, (corners[i][k].y + 0.5) * page.mm_per_px};
    }
  }
  return out;
}

TEST(FrameCommand, MarkersAreWhereReadingExpectsThem) {
  if (!HasPoppler()) GTEST_SKIP() << "poppler's pdftoppm is not installed";
  const TemporaryFolder folder;
  WriteFile(folder / "plan.yaml", kHarbourPlan);
  const ProgramRun run = RunTruepull({"frame", "--plan", "plan.yaml", "--paper", "sheet", "--out", "out"}, folder.path());
  ASSERT_EQ(run.exit_code, 0) << run.err;
  // The frame: every marker, its corners relative to the first one's.
  const auto frame = Rasterise(folder / "out/frame.pdf", 254, folder.path());
  ASSERT_EQ(frame.size(), 1u);
  const FoundMarkers found = MarkersIn(frame[0]);
  const auto markers = MarkersRoundSheet(420, 297);
  ASSERT_EQ(found.corners.size(), markers.size());
  const Point at = found.corners.at(markers[0].id)[0] - MarkerCorners(markers[0])[0];
  double worst = 0;
  for (const PlacedMarker& m : markers) {
    for (std::size_t k = 0; k < 4; ++k) worst = std::max(worst, Norm(found.corners.at(m.id)[k] - at - MarkerCorners(m)[k]));
  }
  EXPECT_LT(worst, 0.05);
  // The cards, four to a page.
  const auto cards = Rasterise(folder / "out/cards.pdf", 254, folder.path());
  ASSERT_EQ(cards.size(), 2u);
  double card_worst = 0;
  for (int card = 0; card < kFrameCards; ++card) {
    const FoundMarkers on_page = MarkersIn(cards[static_cast<std::size_t>(card / 4)]);
    const auto expected = FrameCard(card);
    const Point origin = on_page.corners.at(expected[0].id)[0] - MarkerCorners(expected[0])[0];
    for (const PlacedMarker& m : expected) {
      for (std::size_t k = 0; k < 4; ++k) {
        card_worst = std::max(card_worst, Norm(on_page.corners.at(m.id)[k] - origin - MarkerCorners(m)[k]));
      }
    }
  }
  EXPECT_LT(card_worst, 0.05);
  std::printf("markers: frame %.3f mm, cards %.3f mm at most\n", worst, card_worst);
}

// One printer prints frame and guide 1 % too large; a photo at a slant is measured by the
// frame, the guide is printed: where it says the plate goes is where it really goes.
TEST(FrameCommand, APrintersErrorOfScaleCancelsBetweenFrameAndGuide) {
  constexpr double kOff = 1.01;
  const cv::Matx33d photo_from_table(7.2, 0.6, 300, -0.4, 6.9, 260, 3e-5, -2e-5, 1);
  const auto photograph = [&](Point p) {
    const cv::Vec3d v = photo_from_table * cv::Vec3d(p.x, p.y, 1);
    return cv::Point2d(v[0] / v[2], v[1] / v[2]);
  };
  std::vector<cv::Point2d> photo, nominal;
  for (const PlacedMarker& m : MarkersRoundSheet(420, 297)) {
    for (const Point c : MarkerCorners(m)) {
      photo.push_back(photograph(kOff * c));  // What the printer made of it.
      nominal.emplace_back(c.x, c.y);         // What reading takes it for.
    }
  }
  const cv::Matx33d sheet_from_photo = cv::findHomography(photo, nominal);
  double worst_reading = 0, worst_guide = 0;
  for (const Point p : {Point{20, 20}, Point{400, 30}, Point{210, 150}, Point{35, 280}, Point{390, 270}}) {
    const cv::Point2d q = photograph(p);
    const cv::Vec3d v = sheet_from_photo * cv::Vec3d(q.x, q.y, 1);
    const Point read{v[0] / v[2], v[1] / v[2]};
    worst_reading = std::max(worst_reading, Norm(read - p));
    worst_guide = std::max(worst_guide, Norm(kOff * read - p));  // Printed on the same printer.
  }
  EXPECT_GT(worst_reading, 3.9);   // The reading is 1 % small: 4.7 mm at the far corner ...
  EXPECT_LT(worst_guide, 0.001);   // ... and the printed guide is right.
}

}  // namespace
}  // namespace truepull::testing
