// SPDX-License-Identifier: Apache-2.0
// Distance to a plate's edge or lines, tabulated for fast look-up.
#ifndef TRUEPULL_RENDER_DISTANCE_MAP_H_
#define TRUEPULL_RENDER_DISTANCE_MAP_H_

#include <span>
#include <vector>

#include "truepull/geometry.h"

namespace truepull::render {

using Polyline = std::vector<Point>;

/// Distances on a square mesh in the tile frame, read by bilinear interpolation, which is
/// exact beside a straight edge. Held at +-reach further away.
class DistanceMap {
 public:
  DistanceMap() = default;
  /// Signed: positive inside.
  static DistanceMap OfOutline(std::span<const Point> outline, double reach_mm);
  /// Unsigned.
  static DistanceMap OfLines(std::span<const Polyline> lines, double reach_mm);

  bool empty() const { return values_.empty(); }
  float At(float x, float y) const {
    const float u = (x - left_) * per_mm_, v = (y - top_) * per_mm_;
    if (!(u >= 0 && v >= 0 && u < last_u_ && v < last_v_)) return outside_;
    const int i = static_cast<int>(u), j = static_cast<int>(v);
    const float du = u - static_cast<float>(i), dv = v - static_cast<float>(j);
    const float* row = values_.data() + static_cast<std::ptrdiff_t>(j) * width_ + i;
    const float a = row[0] + du * (row[1] - row[0]);
    const float b = row[width_] + du * (row[width_ + 1] - row[width_]);
    return a + dv * (b - a);
  }

 private:
  void Frame(const Box& box, double reach_mm);
  void Unsquare();
  void Near(Point a, Point b, double reach_mm);

  float left_ = 0, top_ = 0, per_mm_ = 1, last_u_ = 0, last_v_ = 0, outside_ = 0;
  int width_ = 0, height_ = 0;
  std::vector<float> values_;
};

}  // namespace truepull::render

#endif  // TRUEPULL_RENDER_DISTANCE_MAP_H_
