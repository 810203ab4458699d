// SPDX-License-Identifier: Apache-2.0
#include "guide/clearance.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace truepull {
namespace {

// Marks which points between first and last (indices into the doubled outline) to keep.
void Keep(std::span<const Point> points, std::size_t first, std::size_t last, double error_mm,
          std::vector<bool>& kept) {
  if (last <= first + 1) return;
  const std::size_t n = points.size();
  const Segment chord{points[first % n], points[last % n]};
  double worst = 0;
  std::size_t at = first;
  for (std::size_t i = first + 1; i < last; ++i) {
    const double d = Distance(points[i % n], chord);
    if (d > worst) worst = d, at = i;
  }
  if (worst <= error_mm) return;
  kept[at % n] = true;
  Keep(points, first, at, error_mm, kept);
  Keep(points, at, last, error_mm, kept);
}

bool Crossing(const Segment& s, const Segment& t) {
  const Point d = s.b - s.a, e = t.b - t.a;
  const double s1 = Cross(d, t.a - s.a), s2 = Cross(d, t.b - s.a);
  const double t1 = Cross(e, s.a - t.a), t2 = Cross(e, s.b - t.a);
  return ((s1 > 0) != (s2 > 0)) && ((t1 > 0) != (t2 > 0));
}

}  // namespace

double Distance(Point p, const Segment& s) {
  const Point d = s.b - s.a;
  const double length2 = Dot(d, d);
  const double t = length2 > 0 ? std::clamp(Dot(p - s.a, d) / length2, 0.0, 1.0) : 0.0;
  const Point off = p - (s.a + t * d);
  return std::sqrt(Dot(off, off));  // Millimetres: nothing here can overflow.
}

double Distance(const Segment& s, const Segment& t) {
  if (Crossing(s, t)) return 0;
  return std::min({Distance(s.a, t), Distance(s.b, t), Distance(t.a, s), Distance(t.b, s)});
}

double Distance(const Box& box, const Segment& s) {
  const auto inside = [&](Point p) {
    return p.x >= box.left && p.x <= box.right && p.y >= box.top && p.y <= box.bottom;
  };
  if (inside(s.a) || inside(s.b)) return 0;
  const Point tl{box.left, box.top}, tr{box.right, box.top}, br{box.right, box.bottom},
      bl{box.left, box.bottom};
  return std::min({Distance(Segment{tl, tr}, s), Distance(Segment{tr, br}, s),
                   Distance(Segment{br, bl}, s), Distance(Segment{bl, tl}, s)});
}

namespace {

template <typename Shape>
double ClearanceOf(const Shape& shape, const Box& box, std::span<const Segment> lines, double most_mm) {
  double least = most_mm;
  for (const Segment& s : lines) {
    if (std::max(s.a.x, s.b.x) < box.left - least || std::min(s.a.x, s.b.x) > box.right + least ||
        std::max(s.a.y, s.b.y) < box.top - least || std::min(s.a.y, s.b.y) > box.bottom + least) {
      continue;
    }
    least = std::min(least, Distance(shape, s));
  }
  return least;
}

}  // namespace

double Clearance(const Box& box, std::span<const Segment> lines, double most_mm) {
  return ClearanceOf(box, box, lines, most_mm);
}

double Clearance(const Segment& line, std::span<const Segment> lines, double most_mm) {
  const Box box{std::min(line.a.x, line.b.x), std::min(line.a.y, line.b.y), std::max(line.a.x, line.b.x),
                std::max(line.a.y, line.b.y)};
  return ClearanceOf(line, box, lines, most_mm);
}

std::vector<Segment> CoarseEdges(std::span<const Point> outline, double error_mm) {
  const std::size_t n = outline.size();
  std::vector<bool> kept(n, false);
  std::size_t far = 0;
  for (std::size_t i = 1; i < n; ++i) {
    if (Norm(outline[i] - outline[0]) > Norm(outline[far] - outline[0])) far = i;
  }
  kept[0] = kept[far] = true;
  Keep(outline, 0, far, error_mm, kept);
  Keep(outline, far, n, error_mm, kept);
  std::vector<Point> points;
  for (std::size_t i = 0; i < n; ++i) {
    if (kept[i]) points.push_back(outline[i]);
  }
  std::vector<Segment> out;
  for (std::size_t i = 0; i < points.size(); ++i) {
    out.push_back({points[i], points[(i + 1) % points.size()]});
  }
  return out;
}

}  // namespace truepull
