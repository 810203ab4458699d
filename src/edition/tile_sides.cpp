// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <numbers>

#include "edition/plate_fault.h"

namespace truepull {
namespace {

double Distance(Point p, Point a, Point b) {
  const Point ab = b - a;
  const double length2 = Dot(ab, ab);
  const double t = length2 > 0 ? std::clamp(Dot(p - a, ab) / length2, 0.0, 1.0) : 0.0;
  return Norm(p - a - t * ab);
}

// Douglas and Peucker between points `from` and `to` (walking on), keeping what lies off.
void Thin(const Outline& o, std::size_t from, std::size_t to, double reach, std::vector<std::size_t>& kept) {
  const std::size_t n = o.size();
  double worst = 0;
  std::size_t at = from;
  for (std::size_t i = from + 1; i < to; ++i) {
    const double d = Distance(o[i % n], o[from % n], o[to % n]);
    if (d > worst) worst = d, at = i;
  }
  if (worst <= reach) return;
  Thin(o, from, at, reach, kept);
  kept.push_back(at);
  Thin(o, at, to, reach, kept);
}

const char* Facing(Point d) {
  constexpr const char* kWays[] = {"right", "bottom right", "bottom", "bottom left", "left", "top left", "top", "top right"};
  const int eighth = static_cast<int>(std::lround(std::atan2(d.y, d.x) / (std::numbers::pi / 4)));
  return kWays[(eighth + 8) % 8];
}

}  // namespace

std::vector<TileSide> SidesOf(const Outline& outline) {
  const std::size_t n = outline.size();
  if (n < 3) return {};
  // Two far points to begin with: the furthest from the middle, and the furthest from that.
  const Point middle = Centroid(outline);
  const auto furthest = [&](Point from) {
    std::size_t best = 0;
    for (std::size_t i = 1; i < n; ++i) {
      if (Norm(outline[i] - from) > Norm(outline[best] - from) + 1e-9) best = i;
    }
    return best;
  };
  const std::size_t a = furthest(middle), b = furthest(outline[a]);
  const Box box = BoundingBox(outline);
  const double reach = 0.1 * std::hypot(box.Width(), box.Height());
  std::vector<std::size_t> corners{std::min(a, b)};
  Thin(outline, std::min(a, b), std::max(a, b), reach, corners);
  corners.push_back(std::max(a, b));
  Thin(outline, std::max(a, b), std::min(a, b) + n, reach, corners);
  if (corners.size() < 3) return {};

  std::vector<double> along{0};
  for (std::size_t i = 0; i < 2 * n; ++i) along.push_back(along.back() + Norm(outline[(i + 1) % n] - outline[i % n]));
  const double sense = SignedArea(outline) > 0 ? 1 : -1;
  std::vector<TileSide> sides;
  for (std::size_t i = 0; i < corners.size(); ++i) {
    const std::size_t from = corners[i];
    const std::size_t to = i + 1 < corners.size() ? corners[i + 1] : corners[0] + n;
    const Point chord = outline[to % n] - outline[from % n];
    const double length = Norm(chord);
    if (length < 1e-9) continue;
    // Clockwise with y down: outward lies to the left of the walk.
    const Point out = (sense / length) * Point{chord.y, -chord.x};
    sides.push_back({Facing(out), out, along[from], along[to]});
  }
  return sides;
}

}  // namespace truepull
