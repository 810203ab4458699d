// SPDX-License-Identifier: Apache-2.0
// The cutting template of a plate: pages at true size, and the pattern as a picture.
#ifndef TRUEPULL_TEMPLATE_PAGES_H_
#define TRUEPULL_TEMPLATE_PAGES_H_

#include <string>
#include <vector>

#include "truepull/guide.h"
#include "truepull/lattice.h"
#include "truepull/plan.h"
#include "truepull/tiling.h"

namespace truepull {

/// What is drawn inside the tile: lines (from a vector drawing) or a picture (from a photo).
struct TileDrawing {
  std::vector<DrawnLine> lines;
  std::string png;             // As it prints, clear outside the outline; empty: none.
  std::string png_mirrored;    // The same, left and right exchanged.
  Box png_box;                 // What it fills, tile frame.
};

struct TemplateRequest {
  std::string title;
  Outline outline;                 // As it prints, about its reference point, mm.
  std::vector<WeakPlace> weak_places;
  bool repeats = false;
  LatticeSteps steps;              // The two below hold when it repeats.
  std::vector<CellMember> cell{CellMember{}};
  std::vector<Point> faults;       // Places that do not fit, to be ringed.
  TileDrawing drawing;
  bool nearest = false;            // It does not repeat: steps and cell are the nearest way's.
  std::string code;                // "T07": stands large on every page of a class's tiles.
  bool pattern = true;             // With the patch of tiles fitted together.
  Outline ticks_of;                // Register ticks stand where this outline has them; empty: `outline`.
};

/// Three pages, each as large as it needs to be and 210 mm wide at least:
/// the outline as it prints; the same mirrored, for the plate's drawing face (x -> -x about
/// the reference point), which says so; and a patch of tiles fitted together, smaller where
/// they need it (it says how much). The first two carry two register ticks, a mark at the
/// top, an R that reads right only where the page is meant to be read, a 100 mm check bar
/// both ways and the cautions. The last shows the nearest way, and says so, where
/// the tile does not repeat; it is left out where none is given.
/// The drawing stands on the first two (mirrored on the second).
std::vector<GuidePage> LayOutTemplate(const TemplateRequest& request);

/// One picture to look at: outline and drawing as they print, necks, points and faults ringed
/// with their measures, the lattice's neighbours in pale, a bar of 10 mm.
GuidePage LayOutTilePicture(const TemplateRequest& request);

}  // namespace truepull

#endif  // TRUEPULL_TEMPLATE_PAGES_H_
