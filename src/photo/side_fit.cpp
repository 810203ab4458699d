// SPDX-License-Identifier: Apache-2.0
#include "photo/side_fit.h"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>

namespace truepull {

Point IdealFromPhoto(Point photo_px, Point centre, double focal_px, double k1, double k2) {
  const Point d = (1 / focal_px) * (photo_px - centre);
  const double target = Norm(d);
  if (target == 0) return photo_px;
  double r = target;
  for (int i = 0; i < 12; ++i) {
    const double r2 = r * r, slope = 1 + r2 * (3 * k1 + 5 * k2 * r2);
    if (slope < 0.05) break;
    const double step = (r * (1 + r2 * (k1 + k2 * r2)) - target) / slope;
    r -= step;
    if (std::abs(step) < 1e-13) break;
  }
  return centre + (focal_px * r / target) * d;
}

Point PhotoFromIdeal(Point ideal_px, Point centre, double focal_px, double k1, double k2) {
  const Point n = (1 / focal_px) * (ideal_px - centre);
  const double r2 = Dot(n, n);
  return centre + (focal_px * (1 + r2 * (k1 + k2 * r2))) * n;
}

Point SideFit::PhotoFromSide(std::size_t side, double along) const {
  const Point a = corners[side], b = corners[Next(side)];
  return PhotoFromIdeal(a + along * (b - a), centre, focal_px, k1, k2);
}

std::array<double, kSideUnknowns> SideDerivative(const SidePoint& point,
                                                 const SideFit& fit,
                                                 double* residual_px) {
  const Point ideal = IdealFromPhoto(point.at, fit.centre, fit.focal_px, fit.k1, fit.k2);
  const std::size_t first = point.side, second = Next(point.side);
  const Point a = fit.corners[first], b = fit.corners[second];
  const double length = Norm(b - a);
  const Point along = (1 / length) * (b - a), outward{along.y, -along.x};
  const double distance = Dot(outward, ideal - a);
  const double share = Dot(along, ideal - a) / length;
  // The photo moves with the ideal picture by f I + g n n^T (camera.h); its inverse takes
  // the outward normal to the distance's derivative with respect to photo px.
  const Point n = (1 / fit.focal_px) * (ideal - fit.centre);
  const double r2 = Dot(n, n);
  const double f = 1 + r2 * (fit.k1 + fit.k2 * r2), g = 2 * (fit.k1 + 2 * fit.k2 * r2);
  // (f I + g n n^T)^-1 m = (m - g (n.m) n / (f + g r2)) / f, by Sherman and Morrison.
  const double pull = g * Dot(n, outward) / (f + g * r2);
  const Point per_px = (1 / f) * (outward - pull * n);
  const double to_px = 1 / Norm(per_px);
  *residual_px = distance * to_px;
  std::array<double, kSideUnknowns> d{};
  d[2 * first] = -(1 - share) * outward.x * to_px;
  d[2 * first + 1] = -(1 - share) * outward.y * to_px;
  d[2 * second] = -share * outward.x * to_px;
  d[2 * second + 1] = -share * outward.y * to_px;
  // At a fixed photo point the ideal one moves by -(d photo / d ideal)^-1 d photo / d k.
  const double moved = -fit.focal_px * r2 * Dot(per_px, n);
  d[8] = moved * to_px;
  d[9] = moved * r2 * to_px;
  return d;
}

SideFit FitSides(std::span<const SidePoint> points, const SideFit& start, const SideFitOptions& options) {
  using Vector = Eigen::Matrix<double, kSideUnknowns, 1>;
  using Matrix = Eigen::Matrix<double, kSideUnknowns, kSideUnknowns>;
  SideFit fit = start;
  const std::size_t n = points.size();
  fit.residuals_px.assign(n, 0.0);
  fit.weights.assign(n, 1.0);
  std::vector<Vector> rows(n);
  std::vector<double> sizes(n);
  for (int round = 0; round < 25; ++round) {
    for (std::size_t i = 0; i < n; ++i) {
      const auto d = SideDerivative(points[i], fit, &fit.residuals_px[i]);
      rows[i] = Eigen::Map<const Vector>(d.data());
      sizes[i] = std::abs(fit.residuals_px[i]) / points[i].sd_px;
    }
    std::vector<double> sorted = sizes;
    std::nth_element(sorted.begin(), sorted.begin() + static_cast<std::ptrdiff_t>(n / 2), sorted.end());
    // 1.4826: the normal distribution's sd over its median absolute deviation.
    fit.scale = std::max(1.4826 * sorted[n / 2], options.scale_floor_px);
    // A wide cut to begin with, while whole sides may still be off.
    const double cut = (round < 4 ? 9.0 : 4.685) * fit.scale;
    Matrix a = Matrix::Zero();
    Vector b = Vector::Zero();
    for (std::size_t i = 0; i < n; ++i) {
      const double u = sizes[i] / cut;
      const double w = u < 1 ? (1 - u * u) * (1 - u * u) : 0;
      fit.weights[i] = w;
      if (w <= 0) continue;
      const double sd = points[i].sd_px * fit.scale;
      const Vector row = rows[i] * (w / (sd * sd));
      a.noalias() += row * rows[i].transpose();
      b -= row * fit.residuals_px[i];
    }
    a(8, 8) += 1 / (options.k1_prior_sd * options.k1_prior_sd);
    b(8) -= fit.k1 / (options.k1_prior_sd * options.k1_prior_sd);
    // Held at its value by a prior too tight to move when it is not asked for.
    const double k2_sd = options.fit_k2 ? options.k2_prior_sd : 1e-6;
    a(9, 9) += 1 / (k2_sd * k2_sd);
    b(9) -= fit.k2 / (k2_sd * k2_sd);
    // A hair on the diagonal keeps a side without points where it is.
    for (int i = 0; i < 8; ++i) a(i, i) += 1e-8;
    const Vector step = a.ldlt().solve(b);
    if (!step.allFinite()) break;
    for (std::size_t i = 0; i < 4; ++i) {
      fit.corners[i] = fit.corners[i] + Point{step(Eigen::Index(2 * i)), step(Eigen::Index(2 * i + 1))};
    }
    fit.k1 = std::clamp(fit.k1 + step(8), -0.6, 0.6);
    fit.k2 = std::clamp(fit.k2 + step(9), -0.5, 0.5);
    if (round > 5 && step.head<8>().cwiseAbs().maxCoeff() < 1e-5 && std::abs(step(8)) < 1e-8) break;
  }
  double sum = 0, weight = 0;
  for (std::size_t i = 0; i < n; ++i) {
    SideDerivative(points[i], fit, &fit.residuals_px[i]);
    sum += fit.weights[i] * fit.residuals_px[i] * fit.residuals_px[i];
    weight += fit.weights[i];
  }
  fit.rms_px = weight > 0 ? std::sqrt(sum / weight) : 0;
  return fit;
}

}  // namespace truepull
