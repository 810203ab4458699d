// SPDX-License-Identifier: Apache-2.0
#include "truepull/point_frame.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <random>

namespace truepull {
namespace {

using ::testing::HasSubstr;
using ::testing::IsEmpty;

Photo Empty() {
  Photo photo;
  photo.bgr = cv::Mat::zeros(1500, 2000, CV_8UC3);
  photo.name = "a.jpg";
  return photo;
}

Sheet A4() {
  Sheet sheet;
  sheet.width_mm = 297;
  sheet.height_mm = 210;
  return sheet;
}

// Seen askew, with a bent lens.
SheetCamera Askew(double k1) {
  SheetCamera c;
  c.h = {5.1, 0.32, 190, -0.21, 5.3, 170, 0.00021, -0.00013, 1};
  c.k1 = k1;
  c.centre = {999.5, 749.5};
  c.focal_px = 0.74 * 2000;
  return c;
}

std::vector<GivenPoint> Grid(const SheetCamera& camera, int columns, int rows) {
  std::vector<GivenPoint> points;
  for (int r = 0; r < rows; ++r) {
    for (int c = 0; c < columns; ++c) {
      const Point mm{10 + 277.0 * c / (columns - 1), 10 + 190.0 * r / (rows - 1)};
      points.push_back({camera.PhotoFromSheet(mm), mm});
    }
  }
  return points;
}

TEST(FrameFromPoints, FourExactPointsOfAStraightLensGiveItBack) {
  const SheetCamera truth = Askew(0);
  const auto found = FrameFromPoints(Empty(), A4(), Grid(truth, 2, 2));
  ASSERT_TRUE(found) << found.error().message;
  for (const Point p : {Point{0, 0}, Point{150, 100}, Point{297, 210}}) EXPECT_LT(Norm(found->frame.camera.PhotoFromSheet(p) - truth.PhotoFromSheet(p)), 1e-4);
  // What four points do not tell of the lens widens the middle, not the points.
  EXPECT_GT(PlaceCovariance(found->frame, {150, 105})[0], PlaceCovariance(found->frame, {10, 10})[0]);
}

TEST(FrameFromPoints, ManyPointsTellTheLens) {
  const SheetCamera truth = Askew(-0.21);   // As strong as the compact camera's of the chessboard photos.
  const auto found = FrameFromPoints(Empty(), A4(), Grid(truth, 9, 6));
  ASSERT_TRUE(found) << found.error().message;
  EXPECT_NEAR(found->frame.camera.k1, -0.21, 1e-3);
  for (const double mm : found->residual_mm) EXPECT_LT(mm, 0.01);
  EXPECT_THAT(found->frame.findings, IsEmpty());
}

// Errors of 0.5 px a coordinate and lenses as the prior has them: squared errors over the claimed
// variance must be 1 on average (4000 coordinates: 1 +- 0.03).
TEST(FrameFromPoints, ItsUncertaintyIsHonest) {
  std::mt19937 random(12);
  std::normal_distribution<double> gauss;
  for (const auto& [columns, rows] : {std::pair(2, 2), std::pair(3, 2), std::pair(4, 3)}) {
    double sum = 0;
    int n = 0;
    for (int round = 0; round < 2000; ++round) {
      const SheetCamera truth = Askew(0.05 * gauss(random));
      auto points = Grid(truth, columns, rows);
      for (GivenPoint& p : points) p.photo_px = p.photo_px + 0.5 * Point{gauss(random), gauss(random)};
      const auto found = FrameFromPoints(Empty(), A4(), points);
      ASSERT_TRUE(found) << found.error().message;
      const Point at{60 + 180 * (round % 7) / 6.0, 40 + 130 * (round % 5) / 4.0};
      const Point off = found->frame.camera.SheetFromPhoto(truth.PhotoFromSheet(at)) - at;
      const auto c = PlaceCovariance(found->frame, at);
      sum += off.x * off.x / c[0] + off.y * off.y / c[3];
      n += 2;
    }
    std::printf("%d x %d points: squared error over claimed variance %.3f\n", columns, rows, sum / n);
    EXPECT_GT(sum / n, 0.9) << columns << " x " << rows;
    EXPECT_LT(sum / n, 1.1) << columns << " x " << rows;
  }
}

TEST(FrameFromPoints, NamesAPointThatIsOff) {
  auto points = Grid(Askew(0.01), 4, 3);
  points[6].photo_px.x += 12;
  const auto found = FrameFromPoints(Empty(), A4(), points);
  ASSERT_TRUE(found);
  ASSERT_EQ(found->frame.findings.size(), 1u);
  EXPECT_THAT(found->frame.findings[0], HasSubstr("given point 7 lies "));
}

TEST(FrameFromPoints, RefusesWhatFixesNothing) {
  auto points = Grid(Askew(0), 2, 2);
  points.pop_back();
  EXPECT_THAT(FrameFromPoints(Empty(), A4(), points).error().message, HasSubstr("3 points are given; four or more are needed"));
  const std::vector<GivenPoint> line{{{0, 0}, {0, 0}}, {{100, 0}, {20, 0}}, {{200, 1}, {40, 0}}, {{300, 400}, {60, 80}}};
  EXPECT_THAT(FrameFromPoints(Empty(), A4(), line).error().message, HasSubstr("lie on one line"));
}

TEST(ParseGivenPoint, ReadsPixelsAndMillimetres) {
  const auto p = ParseGivenPoint("812.5,-640=30,24.25");
  ASSERT_TRUE(p);
  EXPECT_EQ(p->photo_px, (Point{812.5, -640}));
  EXPECT_EQ(p->sheet_mm, (Point{30, 24.25}));
  for (const char* bad : {"", "1,2", "1,2=3", "1,2=3,4,5", "1,2=3,x", "1;2=3,4", "nan,2=3,4", "1,2=3,"}) EXPECT_FALSE(ParseGivenPoint(bad)) << bad;
}

}  // namespace
}  // namespace truepull
