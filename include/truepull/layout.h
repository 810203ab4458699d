// SPDX-License-Identifier: Apache-2.0
// Laying a repeat out on a sheet: as many whole tiles as it holds.
#ifndef TRUEPULL_LAYOUT_H_
#define TRUEPULL_LAYOUT_H_

#include <optional>
#include <string>
#include <vector>

#include "truepull/plan.h"
#include "truepull/result.h"
#include "truepull/tiling.h"

namespace truepull {

/// How rows and columns stand. kHalfDrop: every other column lies half a tile lower. kBrick:
/// every other row lies half a tile to the right. kOwn: the tile's own lattice, in whichever
/// rows and columns hold the most tiles.
enum class RepeatKind { kOwn, kStraight, kHalfDrop, kBrick };
const char* NameOf(RepeatKind kind);  // "own", "straight", "half-drop", "brick".

struct LayoutRequest {
  std::vector<Plate> plates;
  LatticeSteps steps;              // Of the repeat, and what stands in each of its cells.
  std::vector<CellMember> cell{CellMember{}};
  Sheet sheet;                     // Dry; with its stretch, if that is known.
  double margin_mm = 15;           // Kept free along every edge.
  RepeatKind repeat = RepeatKind::kOwn;
  std::optional<double> turn_rad = 0.0;  // Of the whole pattern; absent: whichever holds most.
  int rows = 0, columns = 0;       // 0: as many as fit.
};

struct SheetLayout {
  Lattice lattice;
  double turn_rad = 0;
  Box block;                       // What the tiles cover, sheet mm.
  int tiles = 0;
  double tile_area_mm2 = 0;        // Of all tiles together.
  double unused_share = 0;         // Of the sheet that no tile covers.
  /// The sheet when damp, where its stretch both ways is known.
  std::optional<Point> damp_size_mm;
};

/// Finds the rows, columns, place and, if asked, turn that hold the most whole tiles.
///
/// A plan's block has the same number of columns in each row, and whole cells. Its rows and
/// columns may run along any two steps of the lattice; every other row or column may be set
/// back by half a step, or three or four rows be taken together as one cell, where that lets a
/// slanting lattice follow the sheet. All of these are tried; a cell's members are taken from
/// whichever of their equal places keep the block smallest. Of arrangements with as many
/// tiles the plainest is taken, then the one of the shortest steps, then the one whose margins
/// are most alike, then the one turned least. Where rows or columns are asked, only the form
/// of the shortest steps is used. The block stands in the middle of the sheet: opposite margins are equal.
///
/// Turns are tried degree by degree, and where a step of the lattice lies along the sheet.
/// It must hold dry and damp: the margins are kept on the smaller of the two.
///
/// Fails with kBadArgument where not one cell fits, where the asked rows and columns run off
/// the sheet (and says by how much), where there are more than 10 000 sites; with
/// kInvalidFile where the tiles do not fit together in the asked repeat.
Result<SheetLayout> FitOnSheet(const LayoutRequest& request);

/// The plan of a layout, without colours.
Plan PlanOf(const LayoutRequest& request, const SheetLayout& layout, const std::string& title);

}  // namespace truepull

#endif  // TRUEPULL_LAYOUT_H_
