// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <opencv2/imgproc.hpp>

#include "support/sheets.h"
#include "truepull/picture.h"

namespace truepull {
namespace {

using testing::ReadingAtIdeal;
using testing::RectanglePlan;

// A camera that looks askew at an A3 sheet, with a bent lens, 5 px to the mm.
SheetCamera AskewCamera() {
  SheetCamera camera;
  camera.h = {5.2, 0.3, 150, -0.25, 5.1, 180, 2e-5, 6e-5, 1};
  camera.k1 = 0.04;
  camera.centre = {1200, 900};
  camera.focal_px = 1776;
  return camera;
}

// A photo with a dark disc of 3 mm radius round each of the given places on the sheet.
cv::Mat PhotoOfDiscs(const SheetCamera& camera, const std::vector<Point>& places) {
  cv::Mat photo(1800, 2400, CV_8UC3, cv::Scalar::all(230));
  for (const Point& p : places) {
    std::vector<cv::Point> rim;
    for (int i = 0; i < 60; ++i) {
      const double a = 2 * std::numbers::pi * i / 60;
      const Point q = camera.PhotoFromSheet(p + 3.0 * Point{std::cos(a), std::sin(a)});
      rim.emplace_back(static_cast<int>(std::lround(q.x * 16)), static_cast<int>(std::lround(q.y * 16)));
    }
    cv::fillPoly(photo, std::vector<std::vector<cv::Point>>{rim}, cv::Scalar::all(20), cv::LINE_AA, 4);
  }
  return photo;
}

TEST(RectifySheet, PutsEveryPlaceWhereItsMillimetresSay) {
  const SheetCamera camera = AskewCamera();
  Sheet sheet;
  sheet.width_mm = 420, sheet.height_mm = 297;
  std::vector<Point> places;
  for (double x = 15; x < 420; x += 65) {
    for (double y = 15; y < 297; y += 53) places.push_back({x, y});
  }
  const cv::Mat photo = PhotoOfDiscs(camera, places);
  for (const double px_per_mm : {4.0, 2.0}) {  // Without and with averaging down first.
    constexpr double kMargin = 10;
    const cv::Mat flat = RectifySheet(photo, camera, sheet, px_per_mm, kMargin);
    ASSERT_EQ(flat.size(), cv::Size(static_cast<int>(440 * px_per_mm), static_cast<int>(317 * px_per_mm)));
    for (const Point& p : places) {
      const int half = static_cast<int>(6 * px_per_mm);
      const int cx = static_cast<int>((p.x + kMargin) * px_per_mm), cy = static_cast<int>((p.y + kMargin) * px_per_mm);
      double sum = 0, sx = 0, sy = 0;
      for (int y = cy - half; y <= cy + half; ++y) {
        for (int x = cx - half; x <= cx + half; ++x) {
          const double dark = 230 - flat.at<cv::Vec3b>(y, x)[0];
          sum += dark, sx += dark * x, sy += dark * y;
        }
      }
      // 0.04 mm: far under what the eye sees in it; worst seen is 0.02.
      EXPECT_NEAR((sx / sum + 0.5) / px_per_mm - kMargin, p.x, 0.04);
      EXPECT_NEAR((sy / sum + 0.5) / px_per_mm - kMargin, p.y, 0.04);
    }
  }
}

int CountNear(const cv::Mat& picture, cv::Rect where, cv::Vec3b colour) {
  int count = 0;
  for (int y = where.y; y < where.y + where.height; ++y) {
    for (int x = where.x; x < where.x + where.width; ++x) {
      // In whole numbers: bytes would stop at zero.
      count += cv::norm(cv::Vec3i(picture.at<cv::Vec3b>(y, x)) - cv::Vec3i(colour)) < 40 ? 1 : 0;
    }
  }
  return count;
}

TEST(DrawReadingPicture, ShowsWhatWasFoundAndNeverGrowsTooWide) {
  Reading reading;
  reading.plan = RectanglePlan(3, 3);
  reading.sheet = ReadingAtIdeal(reading.plan);
  reading.sheet.camera = AskewCamera();
  reading.sheet.sites[4].state = SiteState::kMissing;
  reading.sheet.sites[5].state = SiteState::kWeak;
  reading.sheet.sites[8].found.at.x += 4;
  const cv::Mat photo(1800, 2400, CV_8UC3, cv::Scalar::all(200));
  const DriftReport drift = MeasureDrift(reading.plan, reading.sheet);
  PictureOptions options;
  const cv::Mat picture = DrawReadingPicture(photo, reading, drift, options);
  EXPECT_LE(picture.cols, options.max_width_px);
  EXPECT_GT(picture.rows, static_cast<int>((297 + 2 * options.margin_mm) * 4));  // The legend is below.
  const auto box = [&](double x, double y, double w, double h) {
    return cv::Rect(static_cast<int>((x + options.margin_mm) * 4), static_cast<int>((y + options.margin_mm) * 4),
                    static_cast<int>(w * 4), static_cast<int>(h * 4));
  };
  const cv::Vec3b found(140, 38, 242), weak(13, 158, 250), red(13, 13, 217);
  // Left edge of A1, from (30, 24) down; of the weak B3, from (150, 69); the missing B2
  // has no outline of its own in its middle.
  EXPECT_GT(CountNear(picture, box(28, 30, 4, 30), found), 100);
  EXPECT_GT(CountNear(picture, box(168, 67, 30, 4), weak), 60);
  EXPECT_EQ(CountNear(picture, box(100, 80, 40, 20), found), 0);
  // C3 lies 4 mm off to the right: its arrow is red.
  EXPECT_GT(CountNear(picture, box(165, 125, 40, 20), red), 30);

  Plan large = reading.plan;
  large.sheet.width_mm = 1500;
  Reading wide = reading;
  wide.plan = large;
  EXPECT_LE(DrawReadingPicture(photo, wide, drift).cols, options.max_width_px);
}

}  // namespace
}  // namespace truepull
