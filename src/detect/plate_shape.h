// SPDX-License-Identifier: Apache-2.0
// What the fits need to know of one plate's outline, made once.
#ifndef TRUEPULL_SRC_DETECT_PLATE_SHAPE_H_
#define TRUEPULL_SRC_DETECT_PLATE_SHAPE_H_

#include <vector>

#include "truepull/geometry.h"

namespace truepull::detect {

/// Signed distance to an outline on a grid, mm: positive inside, exact to about 0.01 mm
/// within `reach` of the outline and clipped to +-reach beyond.
class DistanceGrid {
 public:
  DistanceGrid() = default;
  DistanceGrid(std::span<const Point> outline, double cell_mm, double reach_mm);
  float At(Point p) const;
  double reach() const { return reach_; }

 private:
  double cell_ = 0.25, reach_ = 4;
  Point corner_;
  int columns_ = 0, rows_ = 0;
  std::vector<float> value_;
};

/// How densely an outline is looked at.
enum class Spacing {
  kFine,     // Every 0.5 mm.
  kCoarse,   // Every 1 mm: first sweeps.
  kLoose,    // Every 2 mm: comparing places. Readings hang together over more than that.
};
double SpacingMm(Spacing spacing);

struct PlateShape {
  Outline outline;                    // Tile frame.
  std::vector<EdgeSample> edge;       // Every 0.5 mm: the fine fit.
  std::vector<EdgeSample> coarse;     // Every 1 mm.
  std::vector<EdgeSample> loose;      // Every 2 mm.
  std::vector<EdgeSample> sparse;     // Every 3 mm: the coarse search.
  std::vector<Point> inside;          // Grid of points inside, every 0.75 mm.
  std::vector<float> inside_depth;    // Their distance to the outline.
  DistanceGrid distance;
  double radius = 0;                  // Furthest outline point from the reference point.
  double area = 0;
  const std::vector<EdgeSample>& Edge(Spacing spacing) const;
};

PlateShape ShapePlate(const Outline& outline);

}  // namespace truepull::detect

#endif  // TRUEPULL_SRC_DETECT_PLATE_SHAPE_H_
