// SPDX-License-Identifier: Apache-2.0
// Harbour drawings for the inside of a tile, as polylines in tile mm.
#ifndef TRUEPULL_RENDER_MOTIF_H_
#define TRUEPULL_RENDER_MOTIF_H_

#include <span>
#include <vector>

#include "render/distance_map.h"
#include "truepull/render.h"

namespace truepull::render {

/// The place inside an outline that is furthest from its edge, and how far.
struct Roomiest {
  Point at;
  double radius_mm = 0;
};
Roomiest FindRoom(std::span<const Point> outline);

/// The drawing, sized to the room inside the outline.
std::vector<Polyline> DrawMotif(Motif motif, std::span<const Point> outline);

/// Swell lines gouged right across a plate, between its edges; round a drawing if there
/// is one.
std::vector<Polyline> CarveSwell(std::span<const Point> outline, bool round_a_drawing);

}  // namespace truepull::render

#endif  // TRUEPULL_RENDER_MOTIF_H_
