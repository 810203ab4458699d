// SPDX-License-Identifier: Apache-2.0
// How a flat sheet is seen by a camera: millimetres on the sheet <-> photo pixels.
//
// Model: a homography takes sheet mm to an ideal (undistorted) pixel, then the lens moves
// it radially about the principal point (Brown 1971, radial terms only):
//   q = H p;  n = (q - centre) / focal;  r2 = |n|^2;
//   pixel = centre + focal * n * (1 + k1 r2 + k2 r2^2).
// Photo coordinates: the upright picture, pixel centres at whole numbers.
#ifndef TRUEPULL_CAMERA_H_
#define TRUEPULL_CAMERA_H_

#include <array>

#include "truepull/geometry.h"

namespace truepull {

/// 2 x 2 derivative of photo px with respect to sheet mm: {du/dx, du/dy, dv/dx, dv/dy}.
using MapDerivative = std::array<double, 4>;

struct SheetCamera {
  // ideal_photo_from_sheet, row-major, h[8] = 1.
  std::array<double, 9> h{1, 0, 0, 0, 1, 0, 0, 0, 1};
  double k1 = 0;
  double k2 = 0;
  Point centre;         // Principal point, px.
  double focal_px = 1;  // Only sets the scale of r; guessed 0.74 x the longer side.

  Point PhotoFromSheet(Point sheet_mm) const;
  /// The inverse, by Newton steps on the radius; accurate to 1e-9 px wherever the
  /// distortion is monotone. Points outside that range give the nearest reachable one.
  Point SheetFromPhoto(Point photo_px) const;
  /// Derivative of PhotoFromSheet, exact.
  MapDerivative Derivative(Point sheet_mm) const;
  /// Photo pixels to one mm at a place on the sheet: sqrt |det Derivative|.
  double PixelsPerMm(Point sheet_mm) const;
};

/// Inverse of a 3 x 3 homography scaled so that its last entry is 1.
std::array<double, 9> InvertHomography(const std::array<double, 9>& h);

/// Applies a homography to a point.
Point ApplyHomography(const std::array<double, 9>& h, Point p);

/// The homography that carries four points onto four others (exact; direct linear
/// solution of the 8 x 8 system, Hartley & Zisserman, Multiple View Geometry, 4.1).
/// The result is all zeros when three of the points lie on one line.
std::array<double, 9> HomographyFromFour(const std::array<Point, 4>& from,
                                         const std::array<Point, 4>& to);

}  // namespace truepull

#endif  // TRUEPULL_CAMERA_H_
