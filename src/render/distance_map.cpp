// SPDX-License-Identifier: Apache-2.0
#include "render/distance_map.h"

#include <algorithm>
#include <cmath>

namespace truepull::render {
namespace {

// 0.1 mm: a pixel of a 12-megapixel photo of an A3 sheet. A corner is rounded by less
// than half of it, straight edges not at all.
constexpr double kStepMm = 0.1;

double SquaredDistance(Point p, Point a, Point ab, double per_length2) {
  const Point ap = p - a;
  const Point off = ap - std::clamp(Dot(ap, ab) * per_length2, 0.0, 1.0) * ab;
  return Dot(off, off);
}

}  // namespace

void DistanceMap::Frame(const Box& box, double reach_mm) {
  // The mesh is set half a step off round numbers so that nodes rarely lie on an edge.
  const double left = std::floor((box.left - reach_mm) / kStepMm) * kStepMm - kStepMm / 2;
  const double top = std::floor((box.top - reach_mm) / kStepMm) * kStepMm - kStepMm / 2;
  left_ = static_cast<float>(left);
  top_ = static_cast<float>(top);
  width_ = static_cast<int>(std::ceil((box.right + reach_mm - left) / kStepMm)) + 2;
  height_ = static_cast<int>(std::ceil((box.bottom + reach_mm - top) / kStepMm)) + 2;
  per_mm_ = static_cast<float>(1 / kStepMm);
  last_u_ = static_cast<float>(width_ - 1);
  last_v_ = static_cast<float>(height_ - 1);
  values_.assign(static_cast<std::size_t>(width_) * static_cast<std::size_t>(height_),
                 static_cast<float>(reach_mm * reach_mm));
}

void DistanceMap::Unsquare() {
  for (float& v : values_) v = std::sqrt(v);
}

void DistanceMap::Near(Point a, Point b, double reach_mm) {
  const double left = left_, top = top_;
  const Point ab = b - a;
  const double per_length2 = Dot(ab, ab) > 0 ? 1 / Dot(ab, ab) : 0;
  const auto index = [](double mm) { return static_cast<int>(mm / kStepMm); };
  const int i0 = std::max(0, index(std::min(a.x, b.x) - reach_mm - left));
  const int i1 = std::min(width_ - 1, index(std::max(a.x, b.x) + reach_mm - left) + 1);
  const int j0 = std::max(0, index(std::min(a.y, b.y) - reach_mm - top));
  const int j1 = std::min(height_ - 1, index(std::max(a.y, b.y) + reach_mm - top) + 1);
  for (int j = j0; j <= j1; ++j) {
    float* row = values_.data() + static_cast<std::ptrdiff_t>(j) * width_;
    for (int i = i0; i <= i1; ++i) {
      // Squares until all are in; Unsquare ends it.
      const double d2 =
          SquaredDistance({left + i * kStepMm, top + j * kStepMm}, a, ab, per_length2);
      row[i] = std::min(row[i], static_cast<float>(d2));
    }
  }
}

DistanceMap DistanceMap::OfOutline(std::span<const Point> outline, double reach_mm) {
  DistanceMap map;
  map.Frame(BoundingBox(outline), reach_mm);
  map.outside_ = static_cast<float>(-reach_mm);
  for (std::size_t k = 0; k < outline.size(); ++k) {
    map.Near(outline[k], outline[(k + 1) % outline.size()], reach_mm);
  }
  map.Unsquare();
  // Sign by the crossings of each mesh row (even-odd).
  std::vector<double> crossings;
  for (int j = 0; j < map.height_; ++j) {
    const double y = static_cast<double>(map.top_) + j * kStepMm;
    crossings.clear();
    for (std::size_t k = 0; k < outline.size(); ++k) {
      const Point a = outline[k], b = outline[(k + 1) % outline.size()];
      if ((a.y > y) == (b.y > y)) continue;
      crossings.push_back(a.x + (y - a.y) / (b.y - a.y) * (b.x - a.x));
    }
    std::sort(crossings.begin(), crossings.end());
    std::size_t passed = 0;
    float* row = map.values_.data() + static_cast<std::ptrdiff_t>(j) * map.width_;
    for (int i = 0; i < map.width_; ++i) {
      const double x = static_cast<double>(map.left_) + i * kStepMm;
      while (passed < crossings.size() && crossings[passed] <= x) ++passed;
      if (passed % 2 == 0) row[i] = -row[i];
    }
  }
  return map;
}

DistanceMap DistanceMap::OfLines(std::span<const Polyline> lines, double reach_mm) {
  DistanceMap map;
  Outline all;
  for (const Polyline& line : lines) all.insert(all.end(), line.begin(), line.end());
  if (all.empty()) return map;
  map.Frame(BoundingBox(all), reach_mm);
  map.outside_ = static_cast<float>(reach_mm);
  for (const Polyline& line : lines) {
    for (std::size_t k = 0; k + 1 < line.size(); ++k) map.Near(line[k], line[k + 1], reach_mm);
  }
  map.Unsquare();
  return map;
}

}  // namespace truepull::render
