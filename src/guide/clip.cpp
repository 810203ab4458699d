// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <optional>
#include <utility>

#include "truepull/guide.h"

namespace truepull {
namespace {

// The part of a-b inside the box, by Liang and Barsky's parameters; none when outside.
std::optional<std::pair<double, double>> Inside(Point a, Point b, const Box& box) {
  double t0 = 0, t1 = 1;
  const auto cut = [&](double p, double q) {  // Keeps p t <= q.
    if (p == 0) return q >= 0;
    const double t = q / p;
    if (p < 0) t0 = std::max(t0, t);
    else t1 = std::min(t1, t);
    return t0 <= t1;
  };
  const Point d = b - a;
  if (cut(-d.x, a.x - box.left) && cut(d.x, box.right - a.x) && cut(-d.y, a.y - box.top) &&
      cut(d.y, box.bottom - a.y)) {
    return std::pair{t0, t1};
  }
  return std::nullopt;
}

std::vector<Mark> ClipLine(const Mark& mark, const PathMark& path, const Box& box) {
  std::vector<Mark> out;
  std::vector<Point> run;
  const auto finish = [&] {
    if (run.size() > 1) {
      PathMark part = path;
      part.closed = false;
      part.points = std::exchange(run, {});
      out.push_back({mark.role, mark.group, std::move(part), mark.hidden});
    }
    run.clear();
  };
  const std::size_t n = path.points.size();
  const std::size_t edges = path.closed ? n : n - 1;
  bool whole = true;
  for (std::size_t i = 0; i < edges; ++i) {
    const Point a = path.points[i], b = path.points[(i + 1) % n];
    const auto part = Inside(a, b, box);
    if (!part || part->first > 0 || part->second < 1) whole = false;
    if (!part) {
      finish();
      continue;
    }
    if (part->first > 0) finish();
    if (run.empty()) run.push_back(a + part->first * (b - a));
    run.push_back(a + part->second * (b - a));
    if (part->second < 1) finish();
  }
  if (whole) return {mark};
  finish();
  return out;
}

// Sutherland and Hodgman: cuts a filled shape by the four sides in turn.
std::vector<Mark> ClipShape(const Mark& mark, const PathMark& path, const Box& box) {
  std::vector<Point> points = path.points;
  const auto cut = [&](auto distance) {
    std::vector<Point> kept;
    for (std::size_t i = 0; i < points.size(); ++i) {
      const Point a = points[i], b = points[(i + 1) % points.size()];
      const double da = distance(a), db = distance(b);
      if (da >= 0) kept.push_back(a);
      if ((da > 0 && db < 0) || (da < 0 && db > 0)) kept.push_back(a + (da / (da - db)) * (b - a));
    }
    points = std::move(kept);
  };
  cut([&](Point p) { return p.x - box.left; });
  cut([&](Point p) { return box.right - p.x; });
  cut([&](Point p) { return p.y - box.top; });
  cut([&](Point p) { return box.bottom - p.y; });
  if (points.size() < 3) return {};
  PathMark part = path;
  part.points = std::move(points);
  return {{mark.role, mark.group, std::move(part)}};
}

}  // namespace

std::vector<Mark> ClipMark(const Mark& mark, const Box& box) {
  if (const auto* text = std::get_if<TextMark>(&mark.what)) {
    const Box b = TextBox(*text);
    const bool fits = b.left >= box.left && b.right <= box.right && b.top >= box.top &&
                      b.bottom <= box.bottom;
    return fits ? std::vector<Mark>{mark} : std::vector<Mark>{};
  }
  const auto& path = std::get<PathMark>(mark.what);
  if (path.points.size() < 2) return {};
  return path.filled ? ClipShape(mark, path, box) : ClipLine(mark, path, box);
}

}  // namespace truepull
