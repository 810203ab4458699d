// SPDX-License-Identifier: Apache-2.0
// What the camera's covariance means at a place on the sheet.
#include <Eigen/Dense>
#include <cmath>

#include "truepull/photo.h"

namespace truepull {

std::array<double, 4> PlaceCovariance(const SheetFrame& frame, Point p) {
  const SheetCamera& camera = frame.camera;
  const auto& h = camera.h;
  const double w = h[6] * p.x + h[7] * p.y + h[8];
  const Point q = ApplyHomography(h, p);
  Eigen::Matrix<double, 2, 8> ideal;
  ideal << p.x, p.y, 1, 0, 0, 0, -q.x * p.x, -q.x * p.y,  //
      0, 0, 0, p.x, p.y, 1, -q.y * p.x, -q.y * p.y;
  ideal /= w;
  const Point n = (1 / camera.focal_px) * (q - camera.centre);
  const double r2 = Dot(n, n);
  const double f = 1 + r2 * (camera.k1 + camera.k2 * r2), g = 2 * (camera.k1 + 2 * camera.k2 * r2);
  Eigen::Matrix2d lens;
  lens << f + g * n.x * n.x, g * n.x * n.y, g * n.x * n.y, f + g * n.y * n.y;
  Eigen::Matrix<double, 2, 9> photo;
  photo.leftCols<8>() = lens * ideal;
  photo(0, 8) = camera.focal_px * r2 * n.x;
  photo(1, 8) = camera.focal_px * r2 * n.y;
  const MapDerivative d = camera.Derivative(p);
  Eigen::Matrix2d photo_from_sheet;
  photo_from_sheet << d[0], d[1], d[2], d[3];
  // At a fixed photo point the place moves against the camera.
  const Eigen::Matrix<double, 2, 9> sheet = -photo_from_sheet.inverse() * photo;
  const Eigen::Map<const Eigen::Matrix<double, 9, 9, Eigen::RowMajor>> c(frame.covariance.data());
  // What waves do inside the sheet, its sides do not tell: they only show how much.
  const Eigen::Matrix2d out =
      sheet * c * sheet.transpose() + frame.sd_wave_mm * frame.sd_wave_mm * Eigen::Matrix2d::Identity();
  return {out(0, 0), out(0, 1), out(1, 0), out(1, 1)};
}

}  // namespace truepull
