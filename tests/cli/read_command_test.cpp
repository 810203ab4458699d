// SPDX-License-Identifier: Apache-2.0
// `truepull read`: good photos, bad photos, folders; streams, files and exit status.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <functional>
#include <opencv2/imgcodecs.hpp>
#include <opencv2/imgproc.hpp>
#include <sstream>

#include "support/harbour_plan.h"
#include "support/program.h"
#include "truepull/plan_text.h"
#include "truepull/reading_text.h"
#include "truepull/render.h"

namespace truepull::testing {
namespace {

using ::testing::ElementsAre;
using ::testing::EndsWith;
using ::testing::HasSubstr;
using ::testing::IsEmpty;
using ::testing::StartsWith;

namespace fs = std::filesystem;

// The harbour plan with 4 mm of paper between the tiles: what is tested here is the
// program's way of reading, not the measuring of edges that touch.
const std::string kPlan = With("[60, 0]\n  down: [0, 45]", "[64, 0]\n  down: [0, 49]", With("[30, 24]", "[20, 24]"));
const std::string kGutter = "plan.yaml: the lattice cell is 3136.0 mm2 and the tile 2700.0 mm2: about 4.15 mm of gutter between neighbours\n";

// A photo of the plan, small so that the tests stay quick.
RenderedSheet Render(const std::function<void(RenderOptions&)>& change = {}) {
  RenderOptions options;
  options.seed = 7;
  options.width_px = 1800, options.height_px = 1350;
  options.table.look = TableLook::kWood;
  options.ink.edge_ring_mm = 2;
  options.camera.tilt_rad = 0.1;
  options.camera.noise = 0.01;
  if (change) change(options);
  auto sheet = RenderSheet(ParsePlan(kPlan, "plan.yaml")->plan, options);
  if (!sheet) throw std::runtime_error(sheet.error().message);
  return *std::move(sheet);
}

std::string Jpeg(const cv::Mat& bgr, int orientation = 1) { return *EncodePhotoJpeg(bgr, 92, orientation); }

// Every render takes a second, and most tests want the same one.
const RenderedSheet& GoodSheet() {
  static const RenderedSheet sheet = Render([](RenderOptions& o) { o.hand.sd_shift_mm = 0.2; });
  return sheet;
}

class Read : public ::testing::Test {
 protected:
  Read() { WriteFile(folder_ / "plan.yaml", kPlan); }
  ProgramRun Run(const std::string& photo, std::vector<std::string> more = {}) {
    more.insert(more.begin(), {"read", "--plan", "plan.yaml", photo, "--out", "out"});
    return RunTruepull(more, folder_.path());
  }
  ProgramRun RunOn(const std::string& bytes, const std::string& name = "gulls.jpg") {
    WriteFile(folder_ / name, bytes);
    return Run(name);
  }
  // A plain refusal: status 1, one sentence, a way out, nothing left behind.
  void ExpectRefusal(const ProgramRun& run, const std::string& sentence) {
    EXPECT_EQ(run.exit_code, 1);
    EXPECT_EQ(run.out, "");
    EXPECT_THAT(run.err, StartsWith(sentence));
    EXPECT_EQ(std::count(run.err.begin(), run.err.end(), '\n'), 2);
    EXPECT_THAT(run.err, HasSubstr("\n  try: "));
    EXPECT_FALSE(fs::exists(folder_ / "out"));
  }
  TemporaryFolder folder_;
};

TEST_F(Read, MeasuresAGoodPhotoAndSaysWhatItWrote) {
  const ProgramRun run = RunOn(Jpeg(GoodSheet().bgr), "gulls.jpg");
  EXPECT_EQ(run.exit_code, 0) << run.err;
  EXPECT_EQ(run.err, kGutter);
  EXPECT_THAT(run.out, StartsWith("gulls.jpg:\n  30 of 30 sites printed\n"));
  EXPECT_THAT(run.out, EndsWith("  wrote out: reading.yaml, drift.csv, picture.png, reading.html\n"));
  // Against the truth, site by site.
  std::istringstream table(ReadFile(folder_ / "out/drift.csv"));
  std::string line;
  std::getline(table, line);
  double sum2 = 0;
  for (const TruthRow& t : GoodSheet().truth) {
    ASSERT_TRUE(std::getline(table, line));
    std::istringstream cells(line);
    std::vector<std::string> cell;
    for (std::string c; std::getline(cells, c, ',');) cell.push_back(c);
    ASSERT_EQ(cell.size(), 13u);
    EXPECT_EQ(cell[2], "printed");
    sum2 += std::pow(std::stod(cell[3]) - t.pose.at.x, 2) + std::pow(std::stod(cell[4]) - t.pose.at.y, 2);
  }
  EXPECT_LT(std::sqrt(sum2 / 60), 0.15);  // RMS per axis, mm.
  const auto reading = ParseReading(ReadFile(folder_ / "out/reading.yaml"), "reading.yaml");
  ASSERT_TRUE(reading) << reading.error().message;
  EXPECT_EQ(reading->photo_name, "gulls.jpg");
  const std::string png = ReadFile(folder_ / "out/picture.png");
  const cv::Mat picture = cv::imdecode(std::vector<char>(png.begin(), png.end()), cv::IMREAD_COLOR);
  EXPECT_GT(picture.cols, 1500);
  EXPECT_THAT(ReadFile(folder_ / "out/reading.html"), HasSubstr("30 of 30 sites printed."));
}

// The same sheet on a table as white as itself: no edge to be seen.
TEST_F(Read, GoesByGivenPointsWhereNoEdgeCanBeUsed) {
  cv::Mat bgr = GoodSheet().bgr.clone();
  const SheetCamera& camera = GoodSheet().camera;
  std::vector<cv::Point> inside;
  for (const Point p : {Point{8, 8}, Point{412, 8}, Point{412, 289}, Point{8, 289}}) {
    const Point q = camera.PhotoFromSheet(p);
    inside.emplace_back(static_cast<int>(q.x), static_cast<int>(q.y));
  }
  cv::Mat table(bgr.size(), CV_8UC1, cv::Scalar(255));
  cv::fillConvexPoly(table, inside, cv::Scalar(0));
  const Point paper = camera.PhotoFromSheet({10, 150});
  bgr.setTo(bgr.at<cv::Vec3b>(static_cast<int>(paper.y), static_cast<int>(paper.x)), table);
  EXPECT_NE(RunOn(Jpeg(bgr), "white.jpg").exit_code, 0);
  fs::remove_all(folder_ / "out");
  // Pencil crosses whose places were measured, read off to a tenth of a pixel.
  std::vector<std::string> points;
  for (const Point mm : {Point{12, 12}, Point{210, 12}, Point{408, 12}, Point{408, 285}, Point{210, 285}, Point{12, 285}}) {
    const Point px = camera.PhotoFromSheet(mm);
    std::ostringstream text;
    text << std::round(10 * px.x) / 10 << ',' << std::round(10 * px.y) / 10 << '=' << mm.x << ',' << mm.y;
    points.insert(points.end(), {"--point", text.str()});
  }
  const ProgramRun run = Run("white.jpg", points);
  EXPECT_EQ(run.exit_code, 0) << run.err;
  const auto reading = ParseReading(ReadFile(folder_ / "out/reading.yaml"), "reading.yaml");
  ASSERT_TRUE(reading) << reading.error().message;
  double squares = 0, z2 = 0;
  for (std::size_t k = 0; k < GoodSheet().truth.size(); ++k) {
    const Point off = reading->sheet.sites[k].found.at - GoodSheet().truth[k].pose.at;
    squares += Dot(off, off);
    z2 += off.x * off.x / reading->sheet.sites[k].covariance[0] + off.y * off.y / reading->sheet.sites[k].covariance[4];
  }
  EXPECT_LT(std::sqrt(squares / 60), 0.15);
  EXPECT_LT(z2 / 60, 2);
  EXPECT_THAT(ReadFile(folder_ / "out/reading.yaml"), HasSubstr("the sheet's place comes from 6 given points; they lie "));
  // Bad points: one sentence, nothing written.
  fs::remove_all(folder_ / "out");
  ExpectRefusal(Run("white.jpg", {"--point", "1,2=3,4", "--point", "100,2=30,4", "--point", "100,200=30,40"}), "--point: 3 points are given; four or more are needed");
  ExpectRefusal(Run("white.jpg", {"--point", "1,2"}), "--point '1,2' is not a point");
}

// Marks made with the first pass, torn edges, the sheet upside down in the picture: the loop of
// `next --marks` and `read --marks`.
TEST_F(Read, GoesByTheMarksInTheMarginWhereItIsAskedTo) {
  const RenderedSheet rendered = Render([](RenderOptions& o) {
    o.hand.sd_shift_mm = 0.2;
    o.paper.margin_marks = 0.6;
    o.paper.deckle_mm = 0.4;
    o.camera.quarter_turns = 2;
  });
  WriteFile(folder_ / "torn.jpg", Jpeg(rendered.bgr));
  const ProgramRun run = Run("torn.jpg", {"--marks"});
  EXPECT_NE(run.exit_code, 1) << run.err;
  const std::string text = ReadFile(folder_ / "out/reading.yaml");
  EXPECT_THAT(text, HasSubstr("the sheet's place comes from 4 margin marks; by its edges they would lie off by (mm): top left "));
  const auto reading = ParseReading(text, "reading.yaml");
  ASSERT_TRUE(reading) << reading.error().message;
  double squares = 0;
  int n = 0;
  for (std::size_t k = 0; k < rendered.truth.size(); ++k) {
    if (rendered.truth[k].state == SiteState::kMissing) continue;
    const Point off = reading->sheet.sites[k].found.at - rendered.truth[k].pose.at;
    squares += Dot(off, off), ++n;
  }
  EXPECT_LT(std::sqrt(squares / (2 * n)), 0.15);
  // Without marks on the sheet: one sentence, nothing written.
  fs::remove_all(folder_ / "out");
  WriteFile(folder_ / "plain.jpg", Jpeg(GoodSheet().bgr));
  ExpectRefusal(Run("plain.jpg", {"--marks"}), "plain.jpg: only 0 of the sheet's 4 margin marks are seen");
}

TEST_F(Read, WritesTheSameWhicheverWayThePhotoIsStored) {
  ASSERT_EQ(RunOn(Jpeg(GoodSheet().bgr, 1)).exit_code, 0);
  const std::string upright = ReadFile(folder_ / "out/drift.csv");
  fs::remove_all(folder_ / "out");
  ASSERT_EQ(RunOn(Jpeg(GoodSheet().bgr, 6)).exit_code, 0);
  const std::string turned = ReadFile(folder_ / "out/drift.csv");
  // JPEG's blocks fall differently, so the last digits may move, but no state and no tenth.
  std::istringstream a(upright), b(turned);
  std::string la, lb;
  std::getline(a, la), std::getline(b, lb);
  while (std::getline(a, la) && std::getline(b, lb)) {
    std::istringstream ca(la), cb(lb);
    std::string x, y;
    for (int i = 0; std::getline(ca, x, ',') && std::getline(cb, y, ','); ++i) {
      if (i == 2) {
        EXPECT_EQ(x, y);
      } else if (i == 3 || i == 4) {
        EXPECT_NEAR(std::stod(x), std::stod(y), 0.05);
      }
    }
  }
}

TEST_F(Read, KeepsNothingOfThePhotosOwnData) {
  // A maker, a place and a date behind the picture's own fields, as phones write them.
  std::string jpeg = Jpeg(GoodSheet().bgr);
  const std::string secret = "Harbour Camera Works 51.9N 4.4E 2026:03:04";
  const std::string comment = std::string("\xFF\xFE") + '\0' + static_cast<char>(secret.size() + 2) + secret;
  jpeg.insert(2, comment);
  ASSERT_EQ(RunOn(jpeg).exit_code, 0);
  for (const char* name : {"reading.yaml", "drift.csv", "picture.png", "reading.html"}) {
    const std::string bytes = ReadFile(folder_ / "out" / name);
    ASSERT_FALSE(bytes.empty()) << name;
    EXPECT_EQ(bytes.find("Harbour Camera Works"), std::string::npos) << name;
    EXPECT_EQ(bytes.find(folder_.path().string()), std::string::npos) << name;  // Nor where it lay.
  }
}

TEST_F(Read, GivesThreeWhereSomethingNeedsALook) {
  const RenderedSheet sheet = Render([](RenderOptions& o) {
    SiteFault gone, far;
    gone.site = {1, 2}, gone.missing = true;
    far.site = {3, 3}, far.shift_mm = {2.5, 0};
    o.site_faults = {gone, far};
  });
  const ProgramRun run = RunOn(Jpeg(sheet.bgr));
  EXPECT_EQ(run.exit_code, 3) << run.err;
  EXPECT_THAT(run.out, HasSubstr("29 of 30 sites printed; missing: B3\n"));
  EXPECT_THAT(run.out, HasSubstr("worst site D4: 2."));
  EXPECT_THAT(ReadFile(folder_ / "out/drift.csv"), HasSubstr("\n1,2,missing,,,,,,,,,,"));
}

TEST_F(Read, AnEmptySheetIsDoneWithEverySiteMissing) {
  const RenderedSheet sheet = Render([](RenderOptions& o) { o.ink.missing_share = 1; });
  const ProgramRun run = RunOn(Jpeg(sheet.bgr));
  EXPECT_EQ(run.exit_code, 3) << run.err;
  EXPECT_THAT(run.out, HasSubstr("0 of 30 sites printed: the sheet is empty\n"));
  const std::string table = ReadFile(folder_ / "out/drift.csv");
  std::size_t missing = 0;
  for (std::size_t at = table.find(",missing,"); at != std::string::npos; at = table.find(",missing,", at + 1)) ++missing;
  EXPECT_EQ(missing, 30u);
}

TEST_F(Read, RefusesWhatIsNoPhoto) {
  ExpectRefusal(RunOn("dear diary"), "gulls.jpg: is not a photo that can be read (JPEG, HEIC, PNG, TIFF or WebP)\n");
  ExpectRefusal(RunOn(""), "gulls.jpg: is empty (0 bytes)\n");
  ExpectRefusal(Run("nowhere.jpg"), "nowhere.jpg: there is no such file\n");
}

TEST_F(Read, RefusesATruncatedJpeg) {
  const std::string whole = Jpeg(GoodSheet().bgr);
  const std::string sentence = "gulls.jpg: is cut short: the file ends in the middle of the picture\n";
  ExpectRefusal(RunOn(whole.substr(0, whole.size() / 2)), sentence);
  // With its end mark put back it has to be decoded to be found out.
  const ProgramRun marked = RunOn(whole.substr(0, whole.size() / 2) + "\xFF\xD9");
  EXPECT_EQ(marked.exit_code, 1);
  EXPECT_THAT(marked.err, HasSubstr(sentence));
  EXPECT_FALSE(fs::exists(folder_ / "out"));
}

TEST_F(Read, RefusesSizesThatCannotBe) {
  std::vector<unsigned char> bytes;
  cv::imencode(".png", cv::Mat(1, 1, CV_8UC3, cv::Scalar::all(200)), bytes);
  ExpectRefusal(RunOn({bytes.begin(), bytes.end()}, "one.png"), "one.png: is only 1 x 1 pixels;");
  // A true PNG of 200 megapixels of one grey: 30 kB that would swell to 600 MB.
  cv::imencode(".png", cv::Mat(10000, 20000, CV_8UC1, cv::Scalar::all(200)), bytes);
  ExpectRefusal(RunOn({bytes.begin(), bytes.end()}, "big.png"),
                "big.png: is 20000 x 10000 pixels (200 megapixels); at most 100 megapixels can be read\n");
}

TEST_F(Read, RefusesPhotosThatShowNoSheet) {
  ExpectRefusal(RunOn(Jpeg(cv::Mat(1500, 2000, CV_8UC3, cv::Scalar::all(0)))), "gulls.jpg: the photo is too dark");
  const RenderedSheet table = Render([](RenderOptions& o) { o.table.no_sheet = true; });
  ExpectRefusal(RunOn(Jpeg(table.bgr)), "gulls.jpg: found no sheet of paper in the photo\n");
  // The same sheet with its right third out of the picture.
  const cv::Mat& good = GoodSheet().bgr;
  ExpectRefusal(RunOn(Jpeg(good(cv::Rect(0, 0, good.cols * 2 / 3, good.rows)).clone())),
                "gulls.jpg: found 3 of the 4 sheet edges; the right edge is cut off\n");
}

TEST_F(Read, GoesOnAfterABadPhotoInAFolder) {
  fs::create_directory(folder_ / "photos");
  WriteFile(folder_ / "photos/a.jpg", Jpeg(GoodSheet().bgr));
  WriteFile(folder_ / "photos/b.jpg", "no photo");
  WriteFile(folder_ / "photos/notes.txt", "not looked at");
  const ProgramRun run = Run("photos");
  EXPECT_EQ(run.exit_code, 3);
  EXPECT_THAT(run.out, HasSubstr("1 of 2 photos read\n"));
  EXPECT_THAT(run.err, EndsWith("could not be used: b.jpg\n" + kGutter));
  EXPECT_TRUE(fs::exists(folder_ / "out/a/reading.html"));
  EXPECT_FALSE(fs::exists(folder_ / "out/b"));
  // When none is any good, there is nothing to look at.
  fs::remove(folder_ / "photos/a.jpg");
  fs::remove_all(folder_ / "out");
  EXPECT_EQ(Run("photos").exit_code, 1);
  EXPECT_FALSE(fs::exists(folder_ / "out"));
  fs::remove(folder_ / "photos/b.jpg");
  ExpectRefusal(Run("photos"), "photos: holds no photos");
}

TEST_F(Read, NeverOverwritesAnothersFile) {
  fs::create_directory(folder_ / "out");
  WriteFile(folder_ / "out/drift.csv", "my own table");
  const ProgramRun run = RunOn(Jpeg(GoodSheet().bgr));
  EXPECT_EQ(run.exit_code, 1);
  EXPECT_THAT(run.err, HasSubstr("--force"));
  EXPECT_EQ(ReadFile(folder_ / "out/drift.csv"), "my own table");
  EXPECT_FALSE(fs::exists(folder_ / "out/reading.yaml"));
  EXPECT_EQ(Run("gulls.jpg", {"--force", "--quiet"}).exit_code, 0);
  EXPECT_THAT(ReadFile(folder_ / "out/drift.csv"), StartsWith("row,column,state"));
  EXPECT_EQ(Run("gulls.jpg").exit_code, 0);  // Its own files it may replace.
}

TEST_F(Read, SaysWhatIsWrongWithItsArguments) {
  EXPECT_EQ(RunTruepull({"read", "gulls.jpg"}, folder_.path()).exit_code, 2);
  EXPECT_EQ(Run("gulls.jpg", {"--sheet", "soaked"}).exit_code, 2);
  WriteFile(folder_ / "plan.yaml", With("rows: 5", "rows: 0"));
  EXPECT_THAT(RunOn("x").err, StartsWith("plan.yaml:12:9: lattice.rows must be 1 or more"));
}

}  // namespace
}  // namespace truepull::testing
