// SPDX-License-Identifier: Apache-2.0
// The plate's own fault: what repeats at every site and turns with the tile.
#ifndef TRUEPULL_EDITION_PLATE_FAULT_H_
#define TRUEPULL_EDITION_PLATE_FAULT_H_

#include <string>
#include <vector>

#include "edition/sheet_fit.h"
#include "truepull/edition.h"

namespace truepull {

/// A stretch of the outline between two of its main corners.
struct TileSide {
  std::string name;             // By where it faces, the tile upright: "right", "top left".
  Point outward;                // Mean unit normal.
  double from_mm = 0, to_mm = 0;  // Along the outline; `to` may pass its end.
};
/// The sides of an outline: it is thinned to its main corners (no point of it lies further
/// than a tenth of its size from the thinned one).
std::vector<TileSide> SidesOf(const Outline& outline);

/// Turns a bias of the found places and the misfit of the edges into faulty sides, words and
/// `found`. `level` is the chance of a false alarm.
void JudgePlate(PlateFault& fault, const Outline& outline, const std::vector<const PlateEdges*>& edges,
                double growth_mm, const ReviewThresholds& thresholds, double level);

/// One plate over some sheets that were read by one plan. `fits` belong to `drifts`; site
/// faults already known are taken off first.
PlateFault FindPlateFault(const Plan& plan, int plate, const std::vector<const DriftReport*>& drifts,
                          const std::vector<const SheetFit*>& fits, const std::vector<const SheetReading*>& readings,
                          const ReviewThresholds& thresholds, double level);

/// What the fault does to the found place at a site, mm.
Point PlateShiftAt(const Plan& plan, const PlateFault& fault, Site site);

}  // namespace truepull

#endif  // TRUEPULL_EDITION_PLATE_FAULT_H_
