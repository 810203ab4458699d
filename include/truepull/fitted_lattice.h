// SPDX-License-Identifier: Apache-2.0
// The lattice that nobody planned: found from the print, so that drift is measured from it.
#ifndef TRUEPULL_FITTED_LATTICE_H_
#define TRUEPULL_FITTED_LATTICE_H_

#include "truepull/detect.h"

namespace truepull {

/// A reading with the plan whose lattice was put where the print has it. The lattice's
/// numbers are found ones; its fit_... flags stay set, so that whoever shows it can say so.
struct FittedReading {
  Plan plan;
  SheetReading sheet;
};

/// Finds the lattice of a plan with `origin: fit` and measures the sheet by it.
///
/// First roughly: the tile's outline is laid on a map of the whole sheet at every place
/// (and, with `turn: fit`, every turn to 12 degrees either way); the origin is the one
/// whose lattice points together lie where outlines fit best, and which sites are meant
/// follows from where ink is: the rows and columns that hold most of it. Then the sheet is
/// measured, and origin and turn become those that leave the sheet's own part of the drift
/// (drift.h) neither shift nor turn. Steps stay as planned: a stretch remains to be seen.
///
/// Fails like MeasureSheet, and with kPhotoUnusable when nothing is printed that a lattice
/// could be put through (fewer than three pulls in sight of one another).
Result<FittedReading> MeasureSheetFittingLattice(const Photo& photo, const SheetFrame& frame, const Plan& plan,
                                                 const DetectOptions& options = {});

}  // namespace truepull

#endif  // TRUEPULL_FITTED_LATTICE_H_
