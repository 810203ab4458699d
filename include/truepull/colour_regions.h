// SPDX-License-Identifier: Apache-2.0
// What colours lie where inside each pull's outline.
//
// Colours are CIELAB (D65) of the light over that of the sheet's own bare paper at the same
// place: paper is (100, 0, 0), and the lamp's tint, its fall-off and shadows drop out.
#ifndef TRUEPULL_COLOUR_REGIONS_H_
#define TRUEPULL_COLOUR_REGIONS_H_

#include <string>
#include <vector>

#include "truepull/colour.h"
#include "truepull/geometry.h"
#include "truepull/lattice.h"

namespace truepull {

enum class RegionKind {
  kBody,     // The colour that covers most.
  kEdge,     // A band of another colour along the outline.
  kOther,    // A further colour rubbed into the plate.
  kBare,     // Paper that took no colour.
  kDrawing,  // Lines that all pulls of the plate have: scratched bare, or dark.
};
const char* NameOf(RegionKind kind);  // "body", "edge", "other", "bare", "drawing".

/// How the plate was charged for this pull, beside the sheet's full pulls of its colour.
enum class Charge {
  kFull,
  kGhost,  // Thin all over, as a second pull from one charge is.
  kWeak,   // Patchy or hardly there.
};
const char* NameOf(Charge charge);  // "full", "ghost", "weak".

/// One colour of a pull, wherever it lies.
struct ColourRegion {
  RegionKind kind = RegionKind::kBody;
  double area_mm2 = 0;             // Net of drawing and of what neighbours overlap.
  Lab lab;                         // Of the mean light.
  Lab sd;                          // Spread over the region, 0.5 mm squares.
  int colour = -1;                 // Body, other: the plan's colour; -1 = none of them.
  // Sheet frame, mm, even-odd: holes are outlines of their own. A drawing's are in
  // PlateDrawing, and are no holes here.
  std::vector<Outline> outlines;
  friend bool operator==(const ColourRegion&, const ColourRegion&) = default;
};

/// The colours of one pull.
struct PullColours {
  Site site;
  Charge charge = Charge::kFull;
  std::vector<ColourRegion> regions;   // In the order of RegionKind, then by area.
  double left_out = 0;                 // Share of the outline in specks too small to list.
  double overlapped = 0;               // Share that neighbours' outlines cover too.
  // Cover in squares of `cell_mm` over the tile's own box (tile frame), row by row: tenths
  // that carry colour, 0 to 9 (9: nine and more); '.' outside the outline.
  double cell_mm = 0;
  std::vector<std::string> cover;
  friend bool operator==(const PullColours&, const PullColours&) = default;
};

/// The drawing that all pulls of a plate have in common.
struct PlateDrawing {
  int plate = 0;                       // Index into Plan::plates.
  bool mirrored = false;
  std::vector<Outline> outlines;       // Tile frame, as printed, mm; even-odd.
  friend bool operator==(const PlateDrawing&, const PlateDrawing&) = default;
};

}  // namespace truepull

#endif  // TRUEPULL_COLOUR_REGIONS_H_
