// SPDX-License-Identifier: Apache-2.0
#include "photo/side_fit.h"

#include <gtest/gtest.h>

#include <Eigen/Dense>
#include <cmath>
#include <random>

#include "truepull/photo.h"

namespace truepull {
namespace {

SideFit Truth() {
  SideFit fit;
  fit.corners = {Point{310, 260}, Point{3620, 330}, Point{3480, 2700}, Point{240, 2560}};
  fit.k1 = -0.04;
  fit.centre = {1999.5, 1499.5};
  fit.focal_px = 2960;
  return fit;
}

// Points on the sides, moved outward by `off(side, i)` px.
template <typename Off>
std::vector<SidePoint> PointsOn(const SideFit& truth, int places, Off off) {
  std::vector<SidePoint> points;
  for (std::size_t side = 0; side < 4; ++side) {
    for (int i = 0; i < places; ++i) {
      const double t = 0.01 + 0.98 * (i + 0.5) / places;
      const Point ahead = truth.PhotoFromSide(side, t + 1e-4), behind = truth.PhotoFromSide(side, t - 1e-4);
      const Point along = (1 / Norm(ahead - behind)) * (ahead - behind);
      points.push_back({side, t, truth.PhotoFromSide(side, t) + off(side, i) * Point{along.y, -along.x}, 0.2});
    }
  }
  return points;
}

SideFit Disturbed(SideFit fit) {
  for (std::size_t i = 0; i < 4; ++i) fit.corners[i] = fit.corners[i] + Point{3.0 - double(i), 2.0 * double(i) - 3};
  fit.k1 = 0;
  return fit;
}

TEST(SideFit, DerivativesAgreeWithCentralDifferences) {
  SideFit fit = Truth();
  fit.k2 = 0.02;
  const auto points = PointsOn(fit, 7, [](std::size_t side, int i) { return 0.01 * std::sin(double(side) + i); });
  for (const SidePoint& point : points) {
    double residual = 0;
    const auto d = SideDerivative(point, fit, &residual);
    for (std::size_t k = 0; k < kSideUnknowns; ++k) {
      const double nudge = k < 8 ? 1e-3 : 1e-6;
      double up = 0, down = 0;
      for (const double sign : {1.0, -1.0}) {
        SideFit moved = fit;
        if (k < 8) {
          (k % 2 == 0 ? moved.corners[k / 2].x : moved.corners[k / 2].y) += sign * nudge;
        } else {
          (k == 8 ? moved.k1 : moved.k2) += sign * nudge;
        }
        SideDerivative(point, moved, sign > 0 ? &up : &down);
      }
      // The scale of a residual (to px) is held still in the derivative: what is left out
      // is proportional to the residual, here under 0.01 px.
      const double numeric = (up - down) / (2 * nudge);
      const double tolerance = 2e-4 * (k < 8 ? 1 : 1000);
      EXPECT_NEAR(d[k], numeric, tolerance) << "unknown " << k << " side " << point.side;
    }
  }
}

TEST(SideFit, RecoversSidesAndLensExactlyFromCleanPoints) {
  const SideFit truth = Truth();
  const auto points = PointsOn(truth, 60, [](std::size_t, int) { return 0.0; });
  SideFitOptions options;
  options.k1_prior_sd = 1e3;
  const SideFit fit = FitSides(points, Disturbed(truth), options);
  for (std::size_t i = 0; i < 4; ++i) EXPECT_LT(Norm(fit.corners[i] - truth.corners[i]), 1e-5) << i;
  EXPECT_NEAR(fit.k1, truth.k1, 1e-8);
}

TEST(SideFit, IsNotDrawnByATurnedDownCornerOrAThingOnTheSide) {
  const SideFit truth = Truth();
  const auto points = PointsOn(truth, 200, [](std::size_t side, int i) {
    if (side == 0 && i > 170) return -0.6 * (i - 170);  // A corner turned down.
    if (side == 2 && i > 60 && i < 90) return 4.0;      // A strip that touches the side.
    return 0.05 * std::sin(12.9898 * i + 78.233 * double(side));
  });
  const SideFit fit = FitSides(points, Disturbed(truth), {});
  for (std::size_t i = 0; i < 4; ++i) EXPECT_LT(Norm(fit.corners[i] - truth.corners[i]), 0.05) << i;
}

// Scatter of the corners over many fits against the covariance that each fit states.
double ScatterOverStated(double correlation) {
  const SideFit truth = Truth();
  std::mt19937 random(7);
  std::normal_distribution<double> normal;
  double sum = 0;
  const int repeats = 120;
  for (int repeat = 0; repeat < repeats; ++repeat) {
    double wave = 0;
    const auto points = PointsOn(truth, 128, [&](std::size_t, int i) {
      wave = i == 0 ? normal(random) : correlation * wave + std::sqrt(1 - correlation * correlation) * normal(random);
      return 0.3 * wave;
    });
    SideFit fit = FitSides(points, truth, {});
    EstimateCovariance(points, {}, &fit);
    using Matrix = Eigen::Matrix<double, kSideUnknowns, kSideUnknowns, Eigen::RowMajor>;
    const Eigen::Map<const Matrix> covariance(fit.covariance.data());
    Eigen::Matrix<double, 8, 1> off;
    for (std::size_t i = 0; i < 4; ++i) {
      off(Eigen::Index(2 * i)) = fit.corners[i].x - truth.corners[i].x;
      off(Eigen::Index(2 * i + 1)) = fit.corners[i].y - truth.corners[i].y;
    }
    // Per coordinate: a whole 8 x 8 inverse would ask for more than is used.
    for (int k = 0; k < 8; ++k) sum += off(k) * off(k) / covariance(k, k) / 8;
  }
  return std::sqrt(sum / repeats);
}

TEST(SideFit, StatesAnHonestSpreadForIndependentNoise) {
  EXPECT_NEAR(ScatterOverStated(0.0), 1.0, 0.3);
}

TEST(SideFit, StatesAnHonestSpreadForNoiseThatHangsTogether) {
  // Over about 1/10 of a side, as cockled paper does.
  const double ratio = ScatterOverStated(0.93);
  EXPECT_GT(ratio, 0.65);
  EXPECT_LT(ratio, 1.3);
}

TEST(PlaceCovariance, CarriesTheCameraThroughLikeSmallMoves) {
  SheetFrame frame;
  frame.camera.h = {8, 0.4, 300, -0.3, 8.2, 250, 1e-5, 2e-5, 1};
  frame.camera.k1 = -0.05;
  frame.camera.centre = {1999.5, 1499.5};
  frame.camera.focal_px = 2960;
  Eigen::Matrix<double, 9, 9, Eigen::RowMajor> covariance = Eigen::Matrix<double, 9, 9>::Zero();
  const std::array<double, 9> sd{1e-3, 1e-3, 0.1, 1e-3, 1e-3, 0.1, 1e-7, 1e-7, 1e-3};
  for (int i = 0; i < 9; ++i) covariance(i, i) = sd[std::size_t(i)] * sd[std::size_t(i)];
  covariance(0, 2) = covariance(2, 0) = 0.5 * sd[0] * sd[2];
  Eigen::Map<Eigen::Matrix<double, 9, 9, Eigen::RowMajor>>(frame.covariance.data()) = covariance;
  const Point mm{40, 250}, photo = frame.camera.PhotoFromSheet(mm);
  Eigen::Matrix<double, 2, 9> moves;
  for (std::size_t k = 0; k < 9; ++k) {
    Point at[2];
    for (int s = 0; s < 2; ++s) {
      SheetCamera camera = frame.camera;
      (k < 8 ? camera.h[k] : camera.k1) += (s == 0 ? 1 : -1) * 0.01 * sd[k];
      at[s] = camera.SheetFromPhoto(photo);
    }
    const Point d = (1 / (0.02 * sd[k])) * (at[0] - at[1]);
    moves.col(Eigen::Index(k)) << d.x, d.y;
  }
  const Eigen::Matrix2d expected = moves * covariance * moves.transpose();
  const auto actual = PlaceCovariance(frame, mm);
  EXPECT_NEAR(actual[0], expected(0, 0), 1e-5 * expected(0, 0));
  EXPECT_NEAR(actual[1], expected(0, 1), 1e-5 * expected(0, 0));
  EXPECT_NEAR(actual[3], expected(1, 1), 1e-5 * expected(1, 1));
}

}  // namespace
}  // namespace truepull
