// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

#include "truepull/geometry.h"

namespace truepull {

double SignedArea(std::span<const Point> outline) {
  if (outline.empty()) return 0;
  double twice = 0;
  const Point base = outline[0];  // Far from the origin this keeps the digits.
  for (std::size_t i = 0; i < outline.size(); ++i) {
    twice += Cross(outline[i] - base, outline[(i + 1) % outline.size()] - base);
  }
  return twice / 2;
}

Point Centroid(std::span<const Point> outline) {
  if (outline.empty()) return {};
  const Point base = outline[0];
  double twice = 0;
  Point sum, mean;
  for (std::size_t i = 0; i < outline.size(); ++i) {
    const Point a = outline[i] - base;
    const Point b = outline[(i + 1) % outline.size()] - base;
    const double w = Cross(a, b);
    twice += w;
    sum = sum + w * (a + b);
    mean = mean + a;
  }
  if (std::abs(twice) < 1e-12) return base + (1.0 / static_cast<double>(outline.size())) * mean;
  return base + (1.0 / (3 * twice)) * sum;
}

double Perimeter(std::span<const Point> outline) {
  double length = 0;
  for (std::size_t i = 0; i < outline.size(); ++i) {
    length += Norm(outline[(i + 1) % outline.size()] - outline[i]);
  }
  return length;
}

double Radius(std::span<const Point> outline) {
  double radius = 0;
  for (const Point& p : outline) radius = std::max(radius, Norm(p));
  return radius;
}

Box BoundingBox(std::span<const Point> points) {
  constexpr double kInf = std::numeric_limits<double>::infinity();
  Box box{kInf, kInf, -kInf, -kInf};
  for (const Point& p : points) {
    box.left = std::min(box.left, p.x);
    box.right = std::max(box.right, p.x);
    box.top = std::min(box.top, p.y);
    box.bottom = std::max(box.bottom, p.y);
  }
  return box;
}

bool Contains(std::span<const Point> outline, Point point) {
  bool inside = false;
  for (std::size_t i = 0, j = outline.size() - 1; i < outline.size(); j = i++) {
    const Point a = outline[i], b = outline[j];
    if ((a.y > point.y) != (b.y > point.y) &&
        point.x < (b.x - a.x) * (point.y - a.y) / (b.y - a.y) + a.x) {
      inside = !inside;
    }
  }
  return inside;
}

double SignedDistance(std::span<const Point> outline, Point point) {
  double best = std::numeric_limits<double>::infinity();
  for (std::size_t i = 0; i < outline.size(); ++i) {
    const Point a = outline[i];
    const Point ab = outline[(i + 1) % outline.size()] - a;
    const double length2 = Dot(ab, ab);
    const double t = length2 > 0 ? std::clamp(Dot(point - a, ab) / length2, 0.0, 1.0) : 0.0;
    best = std::min(best, Norm(point - a - t * ab));
  }
  return Contains(outline, point) ? best : -best;
}

std::vector<EdgeSample> SampleOutline(std::span<const Point> outline,
                                      double step_mm,
                                      double smooth_mm) {
  const std::size_t n = outline.size();
  std::vector<double> start(n + 1, 0.0);
  for (std::size_t i = 0; i < n; ++i) {
    start[i + 1] = start[i] + Norm(outline[(i + 1) % n] - outline[i]);
  }
  const double length = start[n];
  if (n < 3 || length <= 0) return {};
  const auto at = [&](double s) {
    s = std::fmod(s, length);
    if (s < 0) s += length;
    const auto it = std::upper_bound(start.begin(), start.end(), s);
    const std::size_t i = std::min(n - 1, static_cast<std::size_t>(it - start.begin()) - 1);
    const double edge = start[i + 1] - start[i];
    const double t = edge > 0 ? (s - start[i]) / edge : 0;
    return outline[i] + t * (outline[(i + 1) % n] - outline[i]);
  };
  // Outward is to the left of the walk when the outline runs clockwise as seen.
  const double side = SignedArea(outline) >= 0 ? 1 : -1;
  const auto count = static_cast<std::size_t>(std::max(3.0, std::round(length / step_mm)));
  constexpr double kSharp = 25.0 * std::numbers::pi / 180.0;
  std::vector<EdgeSample> samples(count);
  for (std::size_t k = 0; k < count; ++k) {
    const double s = length * static_cast<double>(k) / static_cast<double>(count);
    const Point here = at(s), before = at(s - smooth_mm), after = at(s + smooth_mm);
    Point tangent = after - before;
    const double chord = Norm(tangent);
    const double turn =
        std::abs(std::atan2(Cross(here - before, after - here), Dot(here - before, after - here)));
    if (chord > 0) tangent = (1 / chord) * tangent;
    samples[k] = {here, {side * tangent.y, -side * tangent.x}, s, turn > kSharp ? 1.0 : 0.0};
  }
  return samples;
}

}  // namespace truepull
