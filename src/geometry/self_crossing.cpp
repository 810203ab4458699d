// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <numeric>

#include "truepull/geometry.h"

namespace truepull {
namespace {

double Turn(Point a, Point b, Point c) { return Cross(b - a, c - a); }

bool OnSegment(Point a, Point b, Point p) {
  return std::min(a.x, b.x) <= p.x && p.x <= std::max(a.x, b.x) && std::min(a.y, b.y) <= p.y &&
         p.y <= std::max(a.y, b.y);
}

// Whether two closed segments share a point, and one such point.
std::optional<Point> Meet(Point a, Point b, Point c, Point d) {
  const double d1 = Turn(c, d, a), d2 = Turn(c, d, b), d3 = Turn(a, b, c), d4 = Turn(a, b, d);
  if (((d1 > 0 && d2 < 0) || (d1 < 0 && d2 > 0)) && ((d3 > 0 && d4 < 0) || (d3 < 0 && d4 > 0))) {
    return a + (d1 / (d1 - d2)) * (b - a);
  }
  if (d1 == 0 && OnSegment(c, d, a)) return a;
  if (d2 == 0 && OnSegment(c, d, b)) return b;
  if (d3 == 0 && OnSegment(a, b, c)) return c;
  if (d4 == 0 && OnSegment(a, b, d)) return d;
  return std::nullopt;
}

}  // namespace

std::optional<SelfCrossing> FindSelfCrossing(std::span<const Point> outline) {
  const std::size_t n = outline.size();
  if (n < 3) return std::nullopt;
  std::vector<std::size_t> order(n);
  std::iota(order.begin(), order.end(), std::size_t{0});
  const auto left = [&](std::size_t e) { return std::min(outline[e].x, outline[(e + 1) % n].x); };
  const auto right = [&](std::size_t e) { return std::max(outline[e].x, outline[(e + 1) % n].x); };
  std::sort(order.begin(), order.end(), [&](auto a, auto b) { return left(a) < left(b); });

  std::optional<SelfCrossing> first;
  std::vector<std::size_t> active;
  for (const std::size_t e : order) {
    std::erase_if(active, [&](std::size_t f) { return right(f) < left(e); });
    for (const std::size_t f : active) {
      const std::size_t i = std::min(e, f), j = std::max(e, f);
      const Point a = outline[i], b = outline[(i + 1) % n];
      const Point c = outline[j], d = outline[(j + 1) % n];
      std::optional<Point> at;
      if (j == i + 1) {  // Neighbours share b = c; wrong only if they fold back.
        if (Turn(a, b, d) == 0 && Dot(b - a, d - c) < 0) at = b;
      } else if (i == 0 && j == n - 1) {  // Share a = d.
        if (Turn(c, d, b) == 0 && Dot(d - c, b - a) < 0) at = a;
      } else {
        at = Meet(a, b, c, d);
      }
      if (at && (!first || std::pair(i, j) < std::pair(first->first_edge, first->second_edge))) {
        first = SelfCrossing{i, j, *at};
      }
    }
    active.push_back(e);
  }
  return first;
}

}  // namespace truepull
