// SPDX-License-Identifier: Apache-2.0
#include "truepull/camera.h"

#include <Eigen/Dense>
#include <cmath>

namespace truepull {

Point ApplyHomography(const std::array<double, 9>& h, Point p) {
  const double w = h[6] * p.x + h[7] * p.y + h[8];
  return {(h[0] * p.x + h[1] * p.y + h[2]) / w, (h[3] * p.x + h[4] * p.y + h[5]) / w};
}

std::array<double, 9> InvertHomography(const std::array<double, 9>& h) {
  using Matrix = Eigen::Matrix<double, 3, 3, Eigen::RowMajor>;
  const Matrix m = Eigen::Map<const Matrix>(h.data()).inverse();
  std::array<double, 9> out{};
  Eigen::Map<Matrix>(out.data()) = m / m(2, 2);
  return out;
}

std::array<double, 9> HomographyFromFour(const std::array<Point, 4>& from,
                                         const std::array<Point, 4>& to) {
  Eigen::Matrix<double, 8, 8> a;
  Eigen::Matrix<double, 8, 1> b;
  for (int i = 0; i < 4; ++i) {
    const Point p = from[static_cast<std::size_t>(i)], q = to[static_cast<std::size_t>(i)];
    a.row(2 * i) << p.x, p.y, 1, 0, 0, 0, -q.x * p.x, -q.x * p.y;
    a.row(2 * i + 1) << 0, 0, 0, p.x, p.y, 1, -q.y * p.x, -q.y * p.y;
    b(2 * i) = q.x;
    b(2 * i + 1) = q.y;
  }
  const Eigen::FullPivLU<Eigen::Matrix<double, 8, 8>> lu(a);
  std::array<double, 9> h{};
  if (!lu.isInvertible()) return h;
  const Eigen::Matrix<double, 8, 1> x = lu.solve(b);
  for (int i = 0; i < 8; ++i) h[static_cast<std::size_t>(i)] = x(i);
  h[8] = 1;
  return h;
}

Point SheetCamera::PhotoFromSheet(Point sheet_mm) const {
  const Point q = ApplyHomography(h, sheet_mm);
  const Point n = (1 / focal_px) * (q - centre);
  const double r2 = Dot(n, n);
  return centre + (focal_px * (1 + r2 * (k1 + k2 * r2))) * n;
}

Point SheetCamera::SheetFromPhoto(Point photo_px) const {
  const Point d = (1 / focal_px) * (photo_px - centre);
  const double target = Norm(d);
  double r = target;
  // Newton on r (1 + k1 r^2 + k2 r^4) = target; held where the slope is positive.
  for (int i = 0; i < 20 && target > 0; ++i) {
    const double r2 = r * r;
    const double slope = 1 + r2 * (3 * k1 + 5 * k2 * r2);
    if (slope < 0.05) break;
    const double step = (r * (1 + r2 * (k1 + k2 * r2)) - target) / slope;
    r -= step;
    if (std::abs(step) < 1e-15 * (1 + r)) break;
  }
  const Point n = target > 0 ? (r / target) * d : d;
  return ApplyHomography(InvertHomography(h), centre + focal_px * n);
}

MapDerivative SheetCamera::Derivative(Point sheet_mm) const {
  const double w = h[6] * sheet_mm.x + h[7] * sheet_mm.y + h[8];
  const Point q = ApplyHomography(h, sheet_mm);
  const double ux = (h[0] - q.x * h[6]) / w, uy = (h[1] - q.x * h[7]) / w;
  const double vx = (h[3] - q.y * h[6]) / w, vy = (h[4] - q.y * h[7]) / w;
  const Point n = (1 / focal_px) * (q - centre);
  const double r2 = Dot(n, n);
  const double f = 1 + r2 * (k1 + k2 * r2);
  const double g = 2 * (k1 + 2 * k2 * r2);  // d f / d n = g n.
  const double axx = f + g * n.x * n.x, axy = g * n.x * n.y, ayy = f + g * n.y * n.y;
  return {axx * ux + axy * vx, axx * uy + axy * vy, axy * ux + ayy * vx, axy * uy + ayy * vy};
}

double SheetCamera::PixelsPerMm(Point sheet_mm) const {
  const MapDerivative d = Derivative(sheet_mm);
  return std::sqrt(std::abs(d[0] * d[3] - d[1] * d[2]));
}

}  // namespace truepull
