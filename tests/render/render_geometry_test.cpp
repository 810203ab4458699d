// SPDX-License-Identifier: Apache-2.0
// The renderer's own error of place: measured in its pictures, mapped back through the
// true camera, compared with the truth.
#include <gtest/gtest.h>

#include <algorithm>
#include <numbers>

#include "render/paper.h"
#include "render/render_support.h"

namespace truepull {
namespace {

// What the renderer promises. The worst seen in these tests is printed by each.
constexpr double kPromisedMm = 0.01;

/// One black square of 30 mm, its reference point at its middle, on a sheet of 80 mm.
Plan OneSquare(double turn_rad, Point at) {
  Plan plan = SmallPlan();
  plan.sheet.width_mm = 80;
  plan.sheet.height_mm = 80;
  plan.plates[0].outline = {{-15, -15}, {15, -15}, {15, 15}, {-15, 15}};
  plan.lattice.origin = at;
  plan.lattice.rows = plan.lattice.columns = 1;
  plan.lattice.turns_rad = {turn_rad};
  plan.colours = {"#000000"};
  return plan;
}

RenderOptions SquareOptions(int side_px) {
  RenderOptions options;
  options.width_px = options.height_px = side_px;
  return options;
}

/// Darkness of a pixel: 0 on bare paper, 1 under full ink.
double Darkness(const cv::Mat& bgr, int x, int y, double paper, double ink) {
  return (paper - Linear(bgr.at<cv::Vec3b>(y, x)[1])) / (paper - ink);
}

/// How far outside `middle` the edge lies, mm: the darkness summed under a smooth window.
///
/// With the window g(s) = cos^2(pi s / 2h), whose integral is h and whose height is 1, a
/// step at e gives the sum h/2 + e + O(e^3). Averaging over square pixels is even in s
/// and does not move it.
double EdgeUnderWindow(const RenderedSheet& sheet, Point middle, Point outward, Point along,
                       double paper, double ink) {
  const double half_out = 4, half_along = 3;
  const auto window = [](double s, double half) {
    if (std::abs(s) >= half) return 0.0;
    const double c = std::cos(std::numbers::pi / 2 * s / half);
    return c * c;
  };
  double sum_dark = 0, sum = 0;
  for (int y = 0; y < sheet.bgr.rows; ++y) {
    for (int x = 0; x < sheet.bgr.cols; ++x) {
      const Point mm = sheet.camera.SheetFromPhoto({1.0 * x, 1.0 * y});
      const Point p = mm - middle;
      const double g = window(Dot(p, outward), half_out) * window(Dot(p, along), half_along);
      if (g <= 0) continue;
      const double px_per_mm = sheet.camera.PixelsPerMm(mm);
      const double w = g / (px_per_mm * px_per_mm);
      sum_dark += w * Darkness(sheet.bgr, x, y, paper, ink);
      sum += w;
    }
  }
  return half_out * (sum_dark / sum - 0.5);
}

struct Worst {
  double centre_mm = 0, edge_mm = 0;
};

/// Centroid of darkness (through the true camera) and the four edges, beside the truth.
Worst MeasureSquare(const Plan& plan, const RenderOptions& options) {
  const auto rendered = RenderSheet(plan, options);
  EXPECT_TRUE(rendered.has_value());
  const RenderedSheet& sheet = *rendered;
  const Pose truth = sheet.truth[0].pose;
  const double paper = GreenAt(sheet, {6, 6}), ink = GreenAt(sheet, truth.at);
  Point sum;
  double weight = 0;
  for (int y = 0; y < sheet.bgr.rows; ++y) {
    for (int x = 0; x < sheet.bgr.cols; ++x) {
      const Point mm = sheet.camera.SheetFromPhoto({1.0 * x, 1.0 * y});
      if (Norm(mm - truth.at) > 26) continue;
      const double scale = sheet.camera.PixelsPerMm(mm);
      const double w = Darkness(sheet.bgr, x, y, paper, ink) / (scale * scale);
      sum = sum + w * mm;
      weight += w;
    }
  }
  Worst worst;
  worst.centre_mm = Norm((1 / weight) * sum - truth.at);
  for (int side = 0; side < 4; ++side) {
    const Rotation r(truth.turn_rad + side * std::numbers::pi / 2);
    const double off = EdgeUnderWindow(sheet, truth.at + r * Point{15, 0}, r * Point{1, 0},
                                       r * Point{0, 1}, paper, ink);
    worst.edge_mm = std::max(worst.edge_mm, std::abs(off));
  }
  return worst;
}

TEST(RenderGeometry, SquareOnASquareOnPhotoLiesWhereTheTruthSays) {
  // 8 px to the mm: about what 12 megapixels give an A3 sheet.
  const Worst w = MeasureSquare(OneSquare(0, {40.0371, 40.0123}), SquareOptions(760));
  std::printf("centre %.5f mm, edge %.5f mm\n", w.centre_mm, w.edge_mm);
  EXPECT_LT(w.centre_mm, kPromisedMm);
  EXPECT_LT(w.edge_mm, kPromisedMm);
}

TEST(RenderGeometry, TurnedSquareInASlantedBentPhotoLiesWhereTheTruthSays) {
  RenderOptions options = SquareOptions(760);
  options.camera.tilt_rad = RadFromDeg(14);
  options.camera.tilt_towards_rad = RadFromDeg(200);
  options.camera.roll_rad = RadFromDeg(7);
  options.camera.k1 = 0.05;
  options.camera.k2 = -0.02;
  const Worst w = MeasureSquare(OneSquare(RadFromDeg(23), {38.4, 41.7}), options);
  std::printf("centre %.5f mm, edge %.5f mm\n", w.centre_mm, w.edge_mm);
  EXPECT_LT(w.centre_mm, kPromisedMm);
  EXPECT_LT(w.edge_mm, kPromisedMm);
}

TEST(RenderGeometry, BlurAndMotionDoNotShiftTheSquare) {
  RenderOptions options = SquareOptions(760);
  options.camera.roll_rad = RadFromDeg(3);
  options.camera.blur_px = 1.1;
  options.camera.motion_px = 2.5;
  options.camera.motion_towards_rad = RadFromDeg(35);
  const Worst w = MeasureSquare(OneSquare(RadFromDeg(-4), {40.3, 39.8}), options);
  std::printf("centre %.5f mm, edge %.5f mm\n", w.centre_mm, w.edge_mm);
  EXPECT_LT(w.centre_mm, kPromisedMm);
  EXPECT_LT(w.edge_mm, kPromisedMm);
}

TEST(RenderGeometry, SmallPhotosKeepThePromiseToo) {
  const Worst w = MeasureSquare(OneSquare(RadFromDeg(11), {40.21, 40.07}), SquareOptions(300));
  std::printf("centre %.5f mm, edge %.5f mm\n", w.centre_mm, w.edge_mm);
  EXPECT_LT(w.centre_mm, kPromisedMm);
  EXPECT_LT(w.edge_mm, kPromisedMm);
}

TEST(RenderGeometry, CockledPaperIsSeenAlongTheRay) {
  // Paper raised by z under a lens at height H above the foot is seen on the flat sheet at
  // foot + (s - foot) H / (H - z). Seen square on, the foot is the sheet's middle and H is
  // the focal length over the scale. The square stands off the middle, so it moves.
  RenderOptions options = SquareOptions(760);
  options.paper.cockle_mm = 2.0;
  const Plan plan = OneSquare(0, {22, 22});
  const RenderedSheet sheet = RenderSheet(plan, options).value();
  const render::Cockle cockle(options.paper.cockle_mm, options.seed);
  const Point foot{40, 40};
  const double height = sheet.camera.focal_px / sheet.camera.PixelsPerMm(foot);
  Outline seen;
  for (int side = 0; side < 4; ++side) {
    const Rotation r(side * std::numbers::pi / 2);
    for (int i = 0; i < 100; ++i) {
      const Point s = Point{22, 22} + r * Point{15, -15 + 0.3 * i};
      seen.push_back(foot + (height / (height - cockle.Height(s))) * (s - foot));
    }
  }
  // The slope shades paper and ink; a cut at 20 and 80 % keeps the shading out.
  const double paper = GreenAt(sheet, {60, 60}), ink = GreenAt(sheet, {22, 22});
  Point sum;
  double weight = 0;
  for (int y = 0; y < sheet.bgr.rows; ++y) {
    for (int x = 0; x < sheet.bgr.cols; ++x) {
      const Point mm = sheet.camera.SheetFromPhoto({1.0 * x, 1.0 * y});
      if (std::abs(mm.x - 22) > 18 || std::abs(mm.y - 22) > 18) continue;
      const double d = Darkness(sheet.bgr, x, y, paper, ink);
      const double w = d < 0.2 ? 0 : d > 0.8 ? 1 : d;
      sum = sum + w * mm;
      weight += w;
    }
  }
  const Point found = (1 / weight) * sum, expected = Centroid(seen);
  std::printf("moved by %.4f mm, as expected to %.5f mm\n", Norm(expected - Point{22, 22}),
              Norm(found - expected));
  EXPECT_GT(Norm(expected - Point{22, 22}), 0.05);  // Or the test would show nothing.
  EXPECT_LT(Norm(found - expected), kPromisedMm);
  EXPECT_EQ(sheet.truth[0].pose, (Pose{{22, 22}, 0}));  // On the flat sheet nothing moved.
}

TEST(TrueCamera, PutsTheWholeSheetInThePictureAtTheWantedFill) {
  RenderOptions options = SmallOptions();
  options.camera.tilt_rad = RadFromDeg(20);
  options.camera.roll_rad = RadFromDeg(12);
  options.camera.fill = 0.8;
  const Plan plan = SmallPlan();
  for (int quarter = 0; quarter < 4; ++quarter) {
    options.camera.quarter_turns = quarter;
    const RenderedSheet sheet = RenderSheet(plan, options).value();
    Outline seen;
    for (const Point p : {Point{0, 0}, Point{160, 0}, Point{160, 100}, Point{0, 100}}) {
      seen.push_back(sheet.camera.PhotoFromSheet(p));
    }
    const Box box = BoundingBox(seen);
    EXPECT_NEAR(std::max(box.Width() / 720, box.Height() / 480), 0.8, 1e-6) << quarter;
    EXPECT_NEAR((box.left + box.right) / 2, 359.5, 0.01) << quarter;
    EXPECT_NEAR((box.top + box.bottom) / 2, 239.5, 0.01) << quarter;
    // The printed face is seen, not the back: clockwise stays clockwise.
    EXPECT_GT(SignedArea(seen), 0) << quarter;
  }
}

}  // namespace
}  // namespace truepull
