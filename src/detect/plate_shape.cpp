// SPDX-License-Identifier: Apache-2.0
#include "detect/plate_shape.h"

#include <algorithm>
#include <cmath>

namespace truepull::detect {

DistanceGrid::DistanceGrid(std::span<const Point> outline, double cell_mm, double reach_mm)
    : cell_(cell_mm), reach_(reach_mm) {
  const Box box = BoundingBox(outline);
  corner_ = {box.left - reach_, box.top - reach_};
  columns_ = static_cast<int>(std::ceil((box.Width() + 2 * reach_) / cell_)) + 2;
  rows_ = static_cast<int>(std::ceil((box.Height() + 2 * reach_) / cell_)) + 2;
  value_.assign(static_cast<std::size_t>(columns_) * static_cast<std::size_t>(rows_),
                static_cast<float>(reach_));
  const auto at = [&](int i, int j) -> float& {
    return value_[static_cast<std::size_t>(j) * static_cast<std::size_t>(columns_) +
                  static_cast<std::size_t>(i)];
  };
  // Each edge only touches the cells within reach of it.
  for (std::size_t e = 0; e < outline.size(); ++e) {
    const Point a = outline[e], b = outline[(e + 1) % outline.size()], ab = b - a;
    const double length2 = Dot(ab, ab);
    const auto lo = [&](double v, double base) { return std::max(0, static_cast<int>((v - reach_ - base) / cell_)); };
    const int i0 = lo(std::min(a.x, b.x), corner_.x), j0 = lo(std::min(a.y, b.y), corner_.y);
    const int i1 = std::min(columns_ - 1, static_cast<int>((std::max(a.x, b.x) + reach_ - corner_.x) / cell_) + 1);
    const int j1 = std::min(rows_ - 1, static_cast<int>((std::max(a.y, b.y) + reach_ - corner_.y) / cell_) + 1);
    for (int j = j0; j <= j1; ++j) {
      for (int i = i0; i <= i1; ++i) {
        const Point p{corner_.x + i * cell_, corner_.y + j * cell_};
        const double t = length2 > 0 ? std::clamp(Dot(p - a, ab) / length2, 0.0, 1.0) : 0.0;
        const Point d = p - a - t * ab;
        float& v = at(i, j);
        const double d2 = Dot(d, d);
        if (d2 < static_cast<double>(v) * static_cast<double>(v)) v = static_cast<float>(std::sqrt(d2));
      }
    }
  }
  // Inside and outside row by row, even-odd.
  std::vector<double> cuts;
  for (int j = 0; j < rows_; ++j) {
    const double y = corner_.y + j * cell_;
    cuts.clear();
    for (std::size_t e = 0; e < outline.size(); ++e) {
      const Point a = outline[e], b = outline[(e + 1) % outline.size()];
      if ((a.y > y) != (b.y > y)) cuts.push_back(a.x + (y - a.y) / (b.y - a.y) * (b.x - a.x));
    }
    std::sort(cuts.begin(), cuts.end());
    std::size_t passed = 0;
    for (int i = 0; i < columns_; ++i) {
      const double x = corner_.x + i * cell_;
      while (passed < cuts.size() && cuts[passed] < x) ++passed;
      if (passed % 2 == 0) at(i, j) = -at(i, j);
    }
  }
}

float DistanceGrid::At(Point p) const {
  const double u = (p.x - corner_.x) / cell_, v = (p.y - corner_.y) / cell_;
  if (!(u >= 0 && v >= 0 && u < columns_ - 1 && v < rows_ - 1)) return static_cast<float>(-reach_);
  const int i = static_cast<int>(u), j = static_cast<int>(v);
  const auto a = static_cast<float>(u - i), b = static_cast<float>(v - j);
  const float* q = &value_[static_cast<std::size_t>(j) * static_cast<std::size_t>(columns_) + static_cast<std::size_t>(i)];
  const float top = q[0] + a * (q[1] - q[0]);
  const float bottom = q[columns_] + a * (q[columns_ + 1] - q[columns_]);
  return top + b * (bottom - top);
}

double SpacingMm(Spacing spacing) {
  return spacing == Spacing::kFine ? 0.5 : spacing == Spacing::kCoarse ? 1.0 : 2.0;
}

const std::vector<EdgeSample>& PlateShape::Edge(Spacing spacing) const {
  return spacing == Spacing::kFine ? edge : spacing == Spacing::kCoarse ? coarse : loose;
}

PlateShape ShapePlate(const Outline& outline) {
  PlateShape shape;
  shape.outline = outline;
  shape.edge = SampleOutline(outline, 0.5, 0.6);
  shape.coarse = SampleOutline(outline, 1.0, 0.8);
  shape.loose = SampleOutline(outline, 2.0, 0.9);
  shape.sparse = SampleOutline(outline, 3.0, 1.0);
  shape.distance = DistanceGrid(outline, 0.25, 5.0);
  shape.radius = Radius(outline);
  shape.area = std::abs(SignedArea(outline));
  const Box box = BoundingBox(outline);
  constexpr double kStep = 0.75;
  for (double y = box.top + kStep / 2; y < box.bottom; y += kStep) {
    for (double x = box.left + kStep / 2; x < box.right; x += kStep) {
      const float d = shape.distance.At({x, y});
      if (d > 0) {
        shape.inside.push_back({x, y});
        shape.inside_depth.push_back(d);
      }
    }
  }
  return shape;
}

}  // namespace truepull::detect
