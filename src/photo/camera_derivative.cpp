// SPDX-License-Identifier: Apache-2.0
#include "photo/camera_derivative.h"

namespace truepull {

Eigen::Matrix<double, 2, 9> PhotoByCamera(const SheetCamera& camera, Point p) {
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
  return photo;
}

}  // namespace truepull
