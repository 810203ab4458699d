// SPDX-License-Identifier: Apache-2.0
// What the printer meant to do: sheet, plates, lattice, colours and later passes.
#ifndef TRUEPULL_PLAN_H_
#define TRUEPULL_PLAN_H_

#include <optional>
#include <string>
#include <vector>

#include "truepull/geometry.h"
#include "truepull/lattice.h"
#include "truepull/result.h"
#include "truepull/units.h"

namespace truepull {

enum class Grain { kUnknown, kX, kY };

struct Sheet {
  double width_mm = 0;   // As photographed.
  double height_mm = 0;
  double sd_mm = 0;      // How well width and height are known; adds to every sd.
  Grain grain = Grain::kUnknown;
  // Growth from dry to damp in per cent along and across the grain; absent = not known.
  std::optional<double> stretch_along_percent;
  std::optional<double> stretch_across_percent;
};

/// A line drawn inside the tile.
struct DrawnLine {
  std::vector<Point> points;   // As it prints, tile frame, mm.
  bool closed = false;
};

/// What prints one tile. The outline is as it appears on the paper, about its
/// reference point, mm; clockwise or not, as the plan gives it.
struct Plate {
  std::string name = "tile";
  Outline outline;
  double prints = 1;            // Share of the outline that a good pull covers.
  bool prints_measured = false; // `prints: measured`.
  std::string drawing;          // File with what is inside, as printed; may be empty.
  std::vector<DrawnLine> drawn; // Its lines, once LoadDrawings has read it.
  std::optional<Box> body;      // Outer rectangle of an opaque block, tile frame; absent:
                                // the outline's own box.
};

enum class Opacity { kTransparent, kHalf, kOpaque };
enum class PassPlate { kTile, kBlock, kSheet };
enum class PassKind { kLayer, kKey, kReduction, kGlaze };
enum class SheetState { kUnknown, kDry, kDamp };

/// A later pass. The first pass is the plan itself and is named `first`.
struct Pass {
  std::string name;
  std::string colour;                 // "#rrggbb"; may be empty.
  std::optional<Opacity> opacity;
  Outline outline;                    // Empty: the tile's own.
  PassPlate plate = PassPlate::kTile;
  int block_rows = 0, block_columns = 0;  // For kBlock.
  std::string registers_to = "first";
  PassKind kind = PassKind::kLayer;
  SheetState pulled = SheetState::kUnknown;
};

struct Tolerance {
  double shift_mm = 1.0;               // Good school work, common practice.
  double turn_rad = RadFromDeg(1.0);
};

struct Plan {
  std::string title;
  Sheet sheet;
  std::vector<Plate> plates;           // One or more.
  Lattice lattice;
  std::string edge_colour;             // "#rrggbb" rubbed round the tile; may be empty.
  std::vector<std::string> colours;    // Body colours of the first pass, "#rrggbb".
  std::vector<std::vector<int>> colour_map;  // Per site index into colours; rows repeat.
  Tolerance tolerance;
  std::vector<Pass> passes;
};

/// The plate that prints a site.
const Plate& PlateAt(const Plan& plan, Site site);

/// The outline that a site's pull has in the tile frame, mirrored where the cell says so.
Outline OutlineAt(const Plan& plan, Site site);

/// Body colour that the plan means for a site, as an index into colours; -1 where the
/// plan has no colour map.
int PlannedColour(const Plan& plan, Site site);

/// A plan and what is odd but not wrong about it (a gutter, sites off the sheet).
struct ParsedPlan {
  Plan plan;
  std::vector<std::string> warnings;   // Plain sentences.
};

}  // namespace truepull

#endif  // TRUEPULL_PLAN_H_
