// SPDX-License-Identifier: Apache-2.0
// One kind of tile (an outline, mirrored or not) prepared for looking along its edge.
#ifndef TRUEPULL_DRIFT_TILE_KIND_H_
#define TRUEPULL_DRIFT_TILE_KIND_H_

#include <optional>
#include <vector>

#include "truepull/geometry.h"

namespace truepull {

/// A wider gutter has no seam to look after, mm.
inline constexpr double kSeamReachMm = 3.0;

/// The outline of one kind of tile: its samples and its edges, tile frame.
struct TileKind {
  explicit TileKind(Outline outline);
  double Step() const { return start.back() / static_cast<double>(samples.size()); }

  std::vector<EdgeSample> samples;  // Every 0.7 mm: a seam's wave is over 5 mm long.
  Outline outline;
  std::vector<double> start;  // Where each edge begins along the outline; last = length.
  double side = 1;            // Outward of an edge (dx, dy) is side * (dy, -dx).
  Point middle;               // Centre of area.
  double reach = 0;           // Furthest point from the middle.
};

/// Where the normal through a point (b's frame) meets b's edges within `window` mm along the
/// outline of `along`: the signed way along the normal, of smallest size.
struct EdgeCrossing {
  double gap = 0;
  Point at;
};
std::optional<EdgeCrossing> CrossingOf(const TileKind& b, Point at, Point normal, double along, double window);

/// A sample of a that faces b, and how far away b is there.
struct FacingSample {
  std::size_t sample = 0;
  double along_b_mm = 0;
  double distance_mm = 0;
};
/// All samples of a (corners left out) whose normals meet an edge of b that looks back at
/// them, within kSeamReachMm.
std::vector<FacingSample> FaceUp(const TileKind& a, const TileKind& b, const Pose& b_in_a);

}  // namespace truepull

#endif  // TRUEPULL_DRIFT_TILE_KIND_H_
