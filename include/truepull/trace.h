// SPDX-License-Identifier: Apache-2.0
// Tracing: the outlines of tiles cut from paper, or of plates, that lie on a plain sheet.
#ifndef TRUEPULL_TRACE_H_
#define TRUEPULL_TRACE_H_

#include <opencv2/core/mat.hpp>
#include <string>
#include <vector>

#include "truepull/camera.h"
#include "truepull/geometry.h"
#include "truepull/photo.h"
#include "truepull/plan.h"
#include "truepull/result.h"

namespace truepull {

struct TileTraceOptions {
  double least_area_mm2 = 100;    // Smaller things on the sheet are crumbs and pencil marks.
  double smallest_share = 0.1;    // Nor are things this much smaller than the largest tiles.
  double rim_mm = 3;              // Along the sheet's sides: shadows, worn and torn edges.
  double inset_mm = 0;            // The outline lies this far inside the edge that is seen: half
                                  // the width of a line drawn with its middle on the edge.
  double thin_mm = 0.02;          // Points that stand less off the line are left out.
};

/// A tile as it lies in the photo.
struct TracedTile {
  Outline outline;       // Sheet frame, mm; clockwise as seen in the photo.
  double px_per_mm = 0;  // Of the photo there.
  double contrast = 0;   // Median step at the edge, linear light, share of white.
  std::string shadow;    // "right": the side along which a thick plate's own shadow seems to lie
                         // inside the outline; empty: none.
};

struct Traced {
  std::vector<TracedTile> tiles;      // In reading order: row by row, left to right.
  std::vector<std::string> findings;  // "something that lies over the sheet's edge was left out"; a shadow
                                      // that seems to have been traced with its tile.
};

/// Traces everything of a tile's size that lies on the plain sheet.
///
/// Coarsely: the sheet's own light is followed inward from its sides for as long as it
/// changes softly; what it does not reach is a tile (so a shadow is none, and a clear plate
/// whose edge is drawn all round is one). Finely: at the photo's own scale (6 px to the mm at most) the difference
/// from the sheet's light, smooth under the tile, is compared with half of what it reaches
/// within 0.7 mm of the edge (on an edge that was drawn, the line's own), and the line where
/// it is just that is followed between the pixels (marching squares). Light is linear. So the
/// outline is the outermost edge that stands out: of a drawn line its outer side.
///
/// photo   Upright.
/// camera  photo_from_sheet.
/// sheet   Its size; only what lies on it is looked at.
///
/// Fails with kPhotoUnusable where nothing of a tile's size lies on the sheet. Accuracy:
/// see docs/accuracy.md (TraceTiles.FollowsHandCutTilesWithinTheSaidError).
Result<Traced> TraceTiles(const Photo& photo, const SheetCamera& camera, const Sheet& sheet,
                          const TileTraceOptions& options = {});

/// A camera that looks straight down from where a photo shows so many pixels to the mm: for
/// a photo without a sheet, beside a scale. Its sheet is the whole picture.
struct ScaledPhoto {
  SheetCamera camera;
  Sheet sheet;
};
ScaledPhoto LookStraightDown(const Photo& photo, double px_per_mm);

/// What is drawn on a tile, laid flat: `box` (mm, sheet frame) as CV_8UC4, clear outside the
/// outline.
cv::Mat CutOutTile(const Photo& photo, const SheetCamera& camera, const Outline& outline,
                   const Box& box, double px_per_mm);

}  // namespace truepull

#endif  // TRUEPULL_TRACE_H_
