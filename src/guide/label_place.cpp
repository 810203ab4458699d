// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <limits>

#include "guide/site_marks.h"

namespace truepull {

LabelPlace PlaceLabel(const SiteShape& shape, std::span<const Segment> lines, double width_mm,
                      double height_mm, double clear_mm) {
  const Point middle = Centroid(shape.outline);
  std::vector<Point> places{middle};
  constexpr int kSteps = 20;
  for (int i = 1; i < kSteps; ++i) {
    for (int j = 1; j < kSteps; ++j) {
      places.push_back({shape.box.left + shape.box.Width() * i / kSteps,
                        shape.box.top + shape.box.Height() * j / kSteps});
    }
  }
  std::stable_sort(places.begin(), places.end(), [&](Point a, Point b) {
    return Norm(a - middle) < Norm(b - middle);
  });
  LabelPlace best{middle, -std::numeric_limits<double>::infinity()};
  for (const Point p : places) {
    if (!Contains(shape.outline, p)) continue;
    const Box box{p.x - width_mm / 2, p.y - height_mm / 2, p.x + width_mm / 2,
                  p.y + height_mm / 2};
    double clearance = Clearance(box, shape.edges, clear_mm);
    if (clearance > best.clearance_mm) clearance = Clearance(box, lines, clearance);
    if (clearance > best.clearance_mm) best = {p, clearance};
    if (best.clearance_mm >= clear_mm) break;
  }
  return best;
}

}  // namespace truepull
