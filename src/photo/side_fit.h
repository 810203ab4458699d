// SPDX-License-Identifier: Apache-2.0
// Fits four straight sides and the lens's radial distortion to points seen on the sides.
//
// Unknowns: the four corners in the ideal (undistorted) picture, k1 and, where asked for,
// k2: together with the sheet's width and height that is the homography and the lens.
// Residual: a point is freed of the distortion; its distance from the straight line
// between two corners, divided by the length of that distance's derivative with respect
// to photo pixels, is its distance from the projected side in px (to first order: Sampson's
// error, Hartley & Zisserman, Multiple View Geometry, 4.2.6).
// Weights: Tukey's biweight on the residual over its robust scale (median absolute
// deviation); Gauss-Newton with weights renewed in each round.
#ifndef TRUEPULL_PHOTO_SIDE_FIT_H_
#define TRUEPULL_PHOTO_SIDE_FIT_H_

#include <array>
#include <span>
#include <vector>

#include "photo/quad.h"
#include "photo/side_point.h"

namespace truepull {

/// Corners 0..3 (x, y each), k1, k2.
inline constexpr int kSideUnknowns = 10;

struct SideFitOptions {
  double k1_prior_sd = 0.05;  // Phones keep within +-0.05, old compacts reach 0.1.
  bool fit_k2 = false;
  double k2_prior_sd = 0.1;
  double scale_floor_px = 0.02;  // Noise-free points must not drive the weights to zero.
};

struct SideFit {
  Quad corners{};            // In the ideal picture, px.
  double k1 = 0, k2 = 0;
  Point centre;
  double focal_px = 1;
  double scale = 1;          // Robust scale of residual over sd_px.
  double rms_px = 0;         // Weighted residual.
  double wave_px = 0;        // Standard deviation of the paper's waves along the sides.
  std::vector<double> residuals_px;  // Positive outward, one for each point.
  std::vector<double> weights;       // Tukey weight, 0 to 1.
  std::array<double, kSideUnknowns * kSideUnknowns> covariance{};  // Row-major.

  /// Where a share of a side is seen in the photo.
  Point PhotoFromSide(std::size_t side, double along) const;
};

/// Takes the lens's distortion from a photo point.
Point IdealFromPhoto(Point photo_px, Point centre, double focal_px, double k1, double k2);
/// And puts it on.
Point PhotoFromIdeal(Point ideal_px, Point centre, double focal_px, double k1, double k2);

/// `start`: corners, k1, k2, centre and focal to begin with.
SideFit FitSides(std::span<const SidePoint> points, const SideFit& start, const SideFitOptions& options);

/// Fills the covariance and makes the last small move to the generalised least-squares
/// solution: the residuals' own correlation along the sides is measured (restricted maximum
/// likelihood) and allowed for.
void EstimateCovariance(std::span<const SidePoint> points, const SideFitOptions& options, SideFit* fit);

/// Derivatives of one residual (px) with respect to the ten unknowns.
std::array<double, kSideUnknowns> SideDerivative(const SidePoint& point, const SideFit& fit, double* residual_px);

}  // namespace truepull

#endif  // TRUEPULL_PHOTO_SIDE_FIT_H_
