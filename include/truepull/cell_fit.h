// SPDX-License-Identifier: Apache-2.0
// Whether the tiles of a lattice's cell fit together: no overlap, no gap.
#ifndef TRUEPULL_CELL_FIT_H_
#define TRUEPULL_CELL_FIT_H_

#include <span>
#include <vector>

#include "truepull/base_shape.h"
#include "truepull/lattice.h"
#include "truepull/result.h"
#include "truepull/tiling.h"

namespace truepull {

/// How well a cell's tiles fit.
struct CellFit {
  double spare_mm2 = 0;    // The lattice cell's area less its tiles': > 0 gaps, < 0 overlap.
  double overlap_mm = 0;   // How deep a tile lies in another, at most.
  /// Fit together: no overlap over a hundredth of a millimetre and, as then the areas
  /// decide, no gap.
  bool Fits() const;
  double area_mm2 = 0;     // Of the lattice cell.
};

/// Measures it. `members` are the outlines of one cell, placed; they repeat by `steps`.
/// Every outline is walked in steps of 0.5 mm and at its corners, just inside its edge, and
/// the depth of each place in every other tile is taken: tiles that overlap have a part of
/// one's edge inside the other.
CellFit FitOfCell(std::span<const Outline> members, const LatticeSteps& steps);

/// A tile's outline as a cell member stands: mirrored, turned, placed.
Outline PlacedMember(const Outline& outline, const CellMember& member);

/// How a tile repeats, whatever is known of it: the steps and cell that a tile file gives
/// (`claimed`), if they prove to fit; else what JudgeOutline finds, shifts before half
/// turns. Fails with kInvalidFile where nothing repeats.
Result<BuiltTile> RepeatOf(const Outline& outline, const std::optional<BuiltTile>& claimed);

}  // namespace truepull

#endif  // TRUEPULL_CELL_FIT_H_
