// SPDX-License-Identifier: Apache-2.0
// What is wrong with a photo, or lies on and about the sheet, is said; the rest is measured.
#include <fmt/format.h>

#include <cmath>
#include <numbers>

#include "detect/small_sheets.h"
#include "truepull/photo_file.h"

namespace truepull::testing {
namespace {

std::string All(const std::vector<std::string>& sentences) {
  std::string all;
  for (const std::string& s : sentences) all += s + "\n";
  return all;
}

struct Seen {
  Figures figures;
  Comparison comparison;
  SheetReading reading;
  std::string findings, notes, refusal;
};

using Spoil = cv::Mat (*)(const cv::Mat&);

Seen Look(const RenderOptions& options, const Plan& plan = SmallWaves(), Spoil spoil = nullptr, const Plan* by = nullptr) {
  const auto rendered = RenderSheet(plan, options);
  if (!rendered) throw std::runtime_error(rendered.error().message);
  const auto jpeg = EncodePhotoJpeg(spoil != nullptr ? spoil(rendered->bgr) : rendered->bgr, 92, 1);
  const Plan& planned = by != nullptr ? *by : plan;
  const auto reading = ReadPhoto(*jpeg, planned);
  Seen seen;
  if (!reading) {
    seen.refusal = reading.error().message;
    return seen;
  }
  seen.reading = *reading;
  seen.comparison = Compare(planned, rendered->truth, *reading);
  seen.figures = Show(::testing::UnitTest::GetInstance()->current_test_info()->name(), seen.comparison);
  seen.findings = All(reading->findings), seen.notes = All(reading->notes);
  return seen;
}

// Every pull found, none invented, places as an easy sheet's (clean_sheet_test.cpp).
void ExpectWell(const Seen& seen, double rms_mm = 0.15) {
  EXPECT_EQ(seen.refusal, "");
  EXPECT_EQ(seen.figures.recall, 1);
  EXPECT_EQ(seen.comparison.false_finds, 0);
  EXPECT_LT(seen.figures.rms_mm, rms_mm);
}

void ExpectSaid(const std::string& said, const char* words) { EXPECT_NE(said.find(words), std::string::npos) << said << "\nwithout: " << words; }

// Lamps, windows: light added in a soft spot that burns out in its middle.
cv::Mat Glaring(const cv::Mat& bgr, double reach) {
  cv::Mat out = bgr.clone();
  for (int y = 0; y < out.rows; ++y) {
    for (int x = 0; x < out.cols; ++x) {
      const double u = (x - 0.45 * out.cols) / (reach * out.cols), v = (y - 0.5 * out.rows) / (reach * out.cols);
      const double light = 330 * std::exp(-0.5 * (u * u + v * v));
      cv::Vec3b& p = out.at<cv::Vec3b>(y, x);
      for (int c = 0; c < 3; ++c) p[c] = cv::saturate_cast<uchar>(p[c] + light);
    }
  }
  return out;
}

cv::Mat Dimmed(const cv::Mat& bgr, double gain) {
  cv::Mat out;
  bgr.convertTo(out, -1, gain);
  return out;
}

TEST(PhotoFaults, BlurIsSaidWithWhatItCosts) {
  for (const bool moved : {false, true}) {
    RenderOptions options = EasySmall(62);
    (moved ? options.camera.motion_px : options.camera.blur_px) = moved ? 10 : 4;
    const Seen seen = Look(options);
    ExpectWell(seen);
    ExpectSaid(seen.findings, "the photo is blurred: an edge is spread over 0.");
    ExpectSaid(seen.findings, "a place on it is known to +- 0.");
    EXPECT_LT(seen.figures.z_squared, 2.5);
  }
}

TEST(PhotoFaults, GlareIsSaidAndWhichSitesItHides) {
  const Seen some = Look(EasySmall(64), SmallWaves(), [](const cv::Mat& m) { return Glaring(m, 0.12); });
  ExpectSaid(some.findings, "glare hides 1");
  ExpectSaid(some.findings, "at ");
  ExpectSaid(some.findings, "B2");
  EXPECT_EQ(some.comparison.false_finds, 0);
  // What the glare takes is said to be hidden, not only missing.
  for (const SiteReading& site : some.reading.sites) {
    if (site.state == SiteState::kMissing) ExpectSaid(some.findings, SiteLabel(site.site).c_str());
  }
  const Seen most = Look(EasySmall(64), SmallWaves(), [](const cv::Mat& m) { return Glaring(m, 0.25); });
  ExpectSaid(most.findings, "the photo is too bright: 8");
}

TEST(PhotoFaults, ADimPhotoIsReadAndADarkOneRefused) {
  RenderOptions options = EasySmall(63);
  options.camera.noise = 0.01;
  const Seen dim = Look(options, SmallWaves(), [](const cv::Mat& m) { return Dimmed(m, 0.25); });
  ExpectWell(dim);
  const Seen dark = Look(options, SmallWaves(), [](const cv::Mat& m) { return Dimmed(m, 0.1); });
  ExpectSaid(dark.refusal, "photo.jpg: the photo is too dark");
}

TEST(PhotoFaults, FewPixelsAreSaidWithWhatTheyCost) {
  for (const int width : {800, 500, 340}) {
    Comparison pooled;
    for (const std::uint64_t seed : {65u, 165u, 265u}) {
      RenderOptions options = EasySmall(seed);
      options.width_px = width;
      options.height_px = width * 3 / 4;
      const Seen seen = Look(options);
      ExpectWell(seen, 0.3);
      ExpectSaid(seen.notes, "pixels to the millimetre: a place on it is known to +- 0.");
      pooled.Add(seen.comparison);
    }
    const Figures f = Summarise(pooled);
    std::printf("%d px: rms %.3f mm, mean z2 %.2f, in 2 sd %.2f\n", width, f.rms_mm, f.z_squared, f.within_2_sd);
    EXPECT_LT(f.z_squared, 2) << width;   // Without its own share of the spread up to 8.
  }
}

TEST(PhotoFaults, ASecondSheetInThePictureIsSaid) {
  for (const double fill : {0.5, 0.45}) {   // The other sheet half in the picture, and whole.
    RenderOptions options = EasySmall(66);
    options.table.second_sheet = true;
    options.table.look = TableLook::kWood;
    options.camera.fill = fill;
    if (fill < 0.5) options.camera.offset = {-0.25, 0};
    const Seen seen = Look(options);
    ExpectWell(seen);
    ExpectSaid(seen.findings, "another sheet lies to the right of the one that was measured");
  }
  RenderOptions options = EasySmall(66);
  options.table.clutter = 10;
  options.table.card = 7;
  options.camera.fill = 0.6;
  options.width_px = 2000, options.height_px = 1500;
  EXPECT_EQ(Look(options, HarbourGulls()).findings.find("another sheet"), std::string::npos);
}

TEST(PhotoFaults, ADogEarOnAnyCornerCostsNothing) {
  for (int corner = 0; corner < 4; ++corner) {
    RenderOptions options = EasySmall(70 + static_cast<std::uint64_t>(corner));
    options.paper.dog_ear_corner = corner;
    options.paper.dog_ear_mm = 20;
    ExpectWell(Look(options));
  }
}

TEST(PhotoFaults, TornEdgesAreMeasuredByAndSaidToBeRagged) {
  for (const double deckle : {0.3, 0.6, 1.0}) {
    RenderOptions options = EasySmall(74);
    options.paper.deckle_mm = deckle;
    const Seen seen = Look(options);
    ExpectWell(seen, 0.4);
    ExpectSaid(seen.findings + seen.notes, "the sheet's edges are torn or ragged: they wander by +- ");
    EXPECT_LT(seen.figures.z_squared, 3);
  }
}

// Strips of 50 to 90 mm over sides of 150 and 200 mm: their inner edges are not the sheet's.
TEST(PhotoFaults, TapeOverTheSidesIsNotTheSheetsEdge) {
  for (int tapes = 1; tapes <= 4; ++tapes) {
    RenderOptions options = EasySmall(75 + static_cast<std::uint64_t>(tapes));
    options.paper.tapes = tapes;
    const Seen seen = Look(options);
    ExpectWell(seen);
    EXPECT_EQ(seen.findings.find("print runs"), std::string::npos) << seen.findings;
    if (tapes > 1) ExpectSaid(seen.findings, "a thing that lies on it, covers much of the right edge");
  }
}

TEST(PhotoFaults, ASheetOnItsSideIsTurnedByItsRatioAndThePrint) {
  for (const int quarters : {1, 3}) {
    RenderOptions options = EasySmall(61);
    options.camera.quarter_turns = quarters;
    const Seen seen = Look(options);
    ExpectWell(seen);
    ExpectSaid(seen.findings, "the sheet lies on its side");
    ExpectSaid(seen.findings, quarters == 1 ? "on the right" : "on the left");
    EXPECT_EQ(seen.reading.findings.size(), 1u) << seen.findings;
  }
}

TEST(PhotoFaults, ASheetSizeThatContradictsThePictureIsSaid) {
  Plan wrong = SmallWaves();
  wrong.sheet.width_mm = 230;
  const Seen seen = Look(EasySmall(80), SmallWaves(), nullptr, &wrong);
  ExpectSaid(seen.findings, "the plan says 1.53: check the sheet's width and height in the plan");
}

TEST(PhotoFaults, ASheetThatRunsOutOfThePictureIsRefusedWithTheEdgeNamed) {
  RenderOptions options = EasySmall(84);
  options.camera.offset = {0.3, 0};
  ExpectSaid(Look(options).refusal, "found 3 of the 4 sheet edges; the right edge is cut off");
}

}  // namespace
}  // namespace truepull::testing
