// SPDX-License-Identifier: Apache-2.0
#include "truepull/camera.h"

#include <gtest/gtest.h>

#include "support/random.h"

namespace truepull::testing {
namespace {

// A phone over an A3 sheet: about 8 px to the mm, some perspective, some barrel.
SheetCamera MakeCamera(Chance& chance) {
  SheetCamera camera;
  const double scale = chance.Number(3, 10), turn = chance.Number(-0.5, 0.5);
  camera.h = {scale * std::cos(turn), -scale * std::sin(turn), chance.Number(100, 800),
              scale * std::sin(turn), scale * std::cos(turn),  chance.Number(100, 800),
              chance.Number(-3e-4, 3e-4), chance.Number(-3e-4, 3e-4), 1};
  camera.k1 = chance.Number(-0.1, 0.1);
  camera.k2 = chance.Number(-0.02, 0.02);
  camera.centre = {2000, 1500};
  camera.focal_px = 3000;
  return camera;
}

TEST(SheetCamera, AndItsInverseCancel) {
  for (unsigned seed = 1; seed <= 300; ++seed) {
    Chance chance(seed);
    const SheetCamera camera = MakeCamera(chance);
    const Point p{chance.Number(0, 420), chance.Number(0, 297)};
    const Point back = camera.SheetFromPhoto(camera.PhotoFromSheet(p));
    EXPECT_NEAR(back.x, p.x, 1e-9) << "seed " << seed;
    EXPECT_NEAR(back.y, p.y, 1e-9) << "seed " << seed;
  }
}

TEST(SheetCamera, HasTheDerivativeOfItsOwnMap) {
  constexpr double kStep = 1e-3;  // mm; central differences are then good to 1e-7 px/mm.
  for (unsigned seed = 1; seed <= 300; ++seed) {
    Chance chance(seed);
    const SheetCamera camera = MakeCamera(chance);
    const Point p{chance.Number(0, 420), chance.Number(0, 297)};
    const MapDerivative d = camera.Derivative(p);
    const Point dx = (0.5 / kStep) * (camera.PhotoFromSheet(p + Point{kStep, 0}) - camera.PhotoFromSheet(p - Point{kStep, 0}));
    const Point dy = (0.5 / kStep) * (camera.PhotoFromSheet(p + Point{0, kStep}) - camera.PhotoFromSheet(p - Point{0, kStep}));
    EXPECT_NEAR(d[0], dx.x, 1e-6) << "seed " << seed;
    EXPECT_NEAR(d[1], dy.x, 1e-6) << "seed " << seed;
    EXPECT_NEAR(d[2], dx.y, 1e-6) << "seed " << seed;
    EXPECT_NEAR(d[3], dy.y, 1e-6) << "seed " << seed;
    EXPECT_NEAR(camera.PixelsPerMm(p), std::sqrt(std::abs(d[0] * d[3] - d[1] * d[2])), 1e-12);
  }
}

TEST(SheetCamera, MovesPointsRadiallyByTheStatedPolynomial) {
  SheetCamera camera;  // Sheet mm are ideal pixels.
  camera.centre = {100, 50};
  camera.focal_px = 200;
  camera.k1 = 0.1;
  camera.k2 = 0.2;
  // (220, 210): n = (120, 160) / 200 = (0.6, 0.8), r = 1; the factor is 1 + 0.1 + 0.2.
  const Point p = camera.PhotoFromSheet({220, 210});
  EXPECT_NEAR(p.x, 100 + 1.3 * 120, 1e-12);
  EXPECT_NEAR(p.y, 50 + 1.3 * 160, 1e-12);
  EXPECT_EQ(camera.PhotoFromSheet({100, 50}), (Point{100, 50}));
}

TEST(SheetCamera, GivesTheNearestReachablePlaceBeyondTheLensModel) {
  SheetCamera camera;
  camera.centre = {0, 0};
  camera.focal_px = 100;
  camera.k1 = -0.3;  // r (1 - 0.3 r^2) turns round at r = 1.054, reaching 0.703.
  const Point p = camera.SheetFromPhoto({500, 0});
  EXPECT_TRUE(std::isfinite(p.x) && std::isfinite(p.y));
  EXPECT_EQ(p.y, 0);
}

TEST(HomographyFromFour, CarriesTheFourPointsExactly) {
  for (unsigned seed = 1; seed <= 200; ++seed) {
    Chance chance(seed);
    std::array<Point, 4> from{Point{0, 0}, {420, 0}, {420, 297}, {0, 297}}, to{};
    for (std::size_t i = 0; i < 4; ++i) to[i] = 8.0 * from[i] + chance.PointWithin(300);
    const auto h = HomographyFromFour(from, to);
    for (std::size_t i = 0; i < 4; ++i) {
      const Point p = ApplyHomography(h, from[i]);
      EXPECT_NEAR(p.x, to[i].x, 1e-7) << "seed " << seed;
      EXPECT_NEAR(p.y, to[i].y, 1e-7) << "seed " << seed;
      const Point back = ApplyHomography(InvertHomography(h), to[i]);
      EXPECT_NEAR(back.x, from[i].x, 1e-7) << "seed " << seed;
      EXPECT_NEAR(back.y, from[i].y, 1e-7) << "seed " << seed;
    }
  }
}

TEST(HomographyFromFour, GivesZerosForThreePointsOnALine) {
  const std::array<Point, 4> line{Point{0, 0}, {1, 0}, {2, 0}, {0, 1}}, square{Point{0, 0}, {1, 0}, {1, 1}, {0, 1}};
  EXPECT_EQ(HomographyFromFour(line, square), (std::array<double, 9>{}));
}

TEST(ApplyHomography, CarriesTheCornersOfThePublishedViews) {
  // The matrix published as H1to3p.xml with the graffiti test pictures of the OpenCV
  // documentation (opencv-doc 4.6.0), and where it sends the corners of 800 x 640.
  const std::array<double, 9> h{0.76285898,   -0.29922929,     225.67123, 0.33443473, 1.0143901,
                                -76.999973, 0.00034663091, -0.000014364524, 1};
  const std::pair<Point, Point> corners[] = {{{0, 0}, {225.671, -77.000}},
                                             {{799, 0}, {654.051, 148.958}},
                                             {{799, 639}, {507.965, 661.321}},
                                             {{0, 639}, {34.783, 576.487}}};
  for (const auto& [from, to] : corners) {
    EXPECT_NEAR(ApplyHomography(h, from).x, to.x, 0.001);
    EXPECT_NEAR(ApplyHomography(h, from).y, to.y, 0.001);
  }
}

}  // namespace
}  // namespace truepull::testing
