// SPDX-License-Identifier: Apache-2.0
#include "truepull/outline_mean.h"

#include <array>
#include <cmath>
#include <numbers>

namespace truepull {
namespace {

struct EdgePoint {
  Point at, outward;
};

// The outline's own points, and others between them no further apart than a millimetre.
std::vector<EdgePoint> PointsOf(const Outline& outline) {
  const double side = SignedArea(outline) > 0 ? 1 : -1;
  const std::size_t n = outline.size();
  const auto normal = [&](std::size_t edge) {
    const Point along = outline[(edge + 1) % n] - outline[edge % n];
    return (side / Norm(along)) * Point{along.y, -along.x};
  };
  std::vector<EdgePoint> points;
  for (std::size_t i = 0; i < n; ++i) {
    const Point a = outline[i], b = outline[(i + 1) % n], here = normal(i);
    const Point sum = normal(i + n - 1) + here;
    points.push_back({a, Norm(sum) > 1e-9 ? (1 / Norm(sum)) * sum : here});
    const int parts = static_cast<int>(std::ceil(Norm(b - a)));
    for (int k = 1; k < parts; ++k) points.push_back({a + (static_cast<double>(k) / parts) * (b - a), here});
  }
  return points;
}

// Mean squared distance of every `stride`th point from an outline.
double Misfit(const std::vector<EdgePoint>& points, const Outline& outline, std::size_t stride) {
  double sum = 0;
  std::size_t count = 0;
  for (std::size_t i = 0; i < points.size(); i += stride, ++count) {
    const double d = SignedDistance(outline, points[i].at);
    sum += d * d;
  }
  return sum / static_cast<double>(count);
}

Outline TurnedAbout(const Outline& outline, Point centre, Pose by) {
  Outline out;
  const Rotation turn(by.turn_rad);
  for (const Point p : outline) out.push_back(by.at + centre + turn * (p - centre));
  return out;
}

// Solves the symmetric 3 x 3 system m x = r by Cramer's rule; zeros where it is singular.
std::array<double, 3> Solve(const std::array<std::array<double, 3>, 3>& m, const std::array<double, 3>& r) {
  const auto det = [](const std::array<std::array<double, 3>, 3>& a) {
    return a[0][0] * (a[1][1] * a[2][2] - a[1][2] * a[2][1]) - a[0][1] * (a[1][0] * a[2][2] - a[1][2] * a[2][0]) +
           a[0][2] * (a[1][0] * a[2][1] - a[1][1] * a[2][0]);
  };
  const double whole = det(m);
  std::array<double, 3> x{};
  if (std::abs(whole) < 1e-12) return x;
  for (std::size_t k = 0; k < 3; ++k) {
    auto changed = m;
    for (std::size_t i = 0; i < 3; ++i) changed[i][k] = r[i];
    x[k] = det(changed) / whole;
  }
  return x;
}

Outline LaidOn(const Outline& outline, const Outline& first, const std::vector<EdgePoint>& points) {
  const Point centre = Centroid(first);
  const Outline there = TurnedAbout(outline, Centroid(outline), {centre - Centroid(outline), 0});
  Outline best;
  double least = 1e300;
  for (int k = 0; k < 72; ++k) {
    Outline turned = TurnedAbout(there, centre, {{}, k * std::numbers::pi / 36});
    const double misfit = Misfit(points, turned, 1 + points.size() / 60);
    if (misfit < least) {
      least = misfit;
      best = std::move(turned);
    }
  }
  for (int round = 0; round < 12; ++round) {
    // An outline moved by (t, w) lies further out at p by n.t + w n.(p - centre)^.
    std::array<std::array<double, 3>, 3> m{};
    std::array<double, 3> right{};
    for (const EdgePoint& e : points) {
      const double further = SignedDistance(best, e.at);
      const Point arm = e.at - centre;
      const std::array<double, 3> row{e.outward.x, e.outward.y, Dot(e.outward, {-arm.y, arm.x})};
      for (std::size_t i = 0; i < 3; ++i) {
        for (std::size_t j = 0; j < 3; ++j) m[i][j] += row[i] * row[j];
        right[i] -= further * row[i];
      }
    }
    const auto step = Solve(m, right);
    best = TurnedAbout(best, centre, {{step[0], step[1]}, step[2]});
    if (std::abs(step[0]) + std::abs(step[1]) + std::abs(step[2]) < 1e-9) break;
  }
  return best;
}

}  // namespace

OutlineMean MeanOutline(std::span<const Outline> outlines) {
  OutlineMean mean;
  const Outline& first = outlines.front();
  const std::vector<EdgePoint> points = PointsOf(first);
  std::vector<double> further(points.size(), 0.0);
  for (const Outline& outline : outlines) {
    const Outline laid = &outline == &first ? first : LaidOn(outline, first, points);
    double squares = 0;
    for (std::size_t i = 0; i < points.size(); ++i) {
      const double d = &outline == &first ? 0 : SignedDistance(laid, points[i].at);
      further[i] += d / static_cast<double>(outlines.size());
      squares += d * d;
    }
    mean.rms_mm.push_back(std::sqrt(squares / static_cast<double>(points.size())));
  }
  for (std::size_t i = 0; i < points.size(); ++i) mean.outline.push_back(points[i].at + further[i] * points[i].outward);
  return mean;
}

}  // namespace truepull
