// SPDX-License-Identifier: Apache-2.0
// What measuring hands over: every site as it was found on the sheet.
#ifndef TRUEPULL_TILE_READING_H_
#define TRUEPULL_TILE_READING_H_

#include <optional>
#include <string>
#include <vector>

#include "truepull/camera.h"
#include "truepull/colour_regions.h"
#include "truepull/geometry.h"
#include "truepull/lattice.h"
#include "truepull/plan.h"

namespace truepull {

enum class SiteState { kPrinted, kWeak, kMissing };
const char* NameOf(SiteState state);  // "printed", "weak", "missing".

/// One site. For a missing one only `site`, `state` and `coverage` hold.
struct SiteReading {
  Site site;
  SiteState state = SiteState::kMissing;
  Pose found;                      // Sheet frame; absolute turn.
  PoseCovariance covariance{};     // Fit, frame and paper together, given sheet size.
  double coverage = 0;             // Share of the found outline that carries colour.
  double strength = 0;             // Mean density, in shares of a full pull here.
  double growth_mm = 0;            // Common growth of the outline (dot gain).
  std::string body_colour;         // Measured, "#rrggbb"; may be empty.
  int colour = -1;                 // Nearest of the plan's colours, -1 = none.
  friend bool operator==(const SiteReading&, const SiteReading&) = default;
};

/// Where the printed edge lies beyond the fitted outline, over all pulls of one plate:
/// what the plate's own shape does differently from the plan.
struct PlateEdges {
  int plate = 0;                   // Index into Plan::plates.
  bool mirrored = false;
  // On equal stretches of the outline, from its first point on; mm, > 0 outside it.
  std::vector<double> out_mm, sd_mm;
  friend bool operator==(const PlateEdges&, const PlateEdges&) = default;
};

/// A pull that stands at no site of the plan.
struct LeftOverPull {
  Pose found;                      // Sheet frame; roughly, to a millimetre or so.
  double share = 0;                // Its inked area over a tile's.
  friend bool operator==(const LeftOverPull&, const LeftOverPull&) = default;
};

/// A side of a plate that departs from the plan, as printed.
struct PlateSide {
  std::string side;                // "right", "left", "top", "bottom".
  double mm = 0;                   // Outwards; below 0 the plate is short.
  double sd_mm = 0;
  double length_mm = 0;            // Of edge that departs.
  friend bool operator==(const PlateSide&, const PlateSide&) = default;
};

/// A plate that is not as the plan has it, from all its pulls.
struct PlateReading {
  std::string plate;               // Its name in the plan.
  double size = 1;                 // Over the plan's; 1 where it is the planned one.
  double sd_size = 0;
  std::vector<PlateSide> sides;
  Outline outline;                 // As it really is, as printed, about the reference point.
  friend bool operator==(const PlateReading&, const PlateReading&) = default;
};

/// A sheet as measured.
struct SheetReading {
  std::vector<SiteReading> sites;        // Every site of the plan, in order.
  SheetCamera camera;
  int photo_width_px = 0, photo_height_px = 0;   // Of the upright picture.
  SheetState state = SheetState::kUnknown;       // Dry or damp when photographed.
  // Relative standard uncertainty of the scale (sheet size), apart from the sites' sd.
  double sd_scale_x = 0, sd_scale_y = 0;
  double sd_frame_mm = 0;                // Typical sd of a place owing to the frame.
  double sd_blur_mm = 0;                 // Spread of an edge in the photo.
  std::vector<std::string> findings;     // Odd things, plain sentences: need a look.
  std::vector<std::string> notes;        // Worth knowing; no reason to look.
  std::vector<PlateEdges> plate_edges;   // One for each plate that printed; may be empty.
  std::vector<double> prints;            // By plate: share that a good pull covers, as planned or measured.
  std::vector<LeftOverPull> left_over;   // Pulls beyond the plan's sites.
  std::vector<PlateReading> plates;      // Only those that depart from the plan.
  std::vector<PullColours> colours;      // One for each pull found, in order; may be empty.
  std::vector<PlateDrawing> drawings;    // Of the plates that have one.
};

/// A reading with the plan it was made from: what reading.yaml holds.
struct Reading {
  Plan plan;
  SheetReading sheet;
  std::string photo_name;                // File name only.
  std::string pass = "first";            // Which pass was measured.
  std::string photo_key;                 // Of the photo's bytes (ReadingCache::KeyOf); may be empty.
};

}  // namespace truepull

#endif  // TRUEPULL_TILE_READING_H_
