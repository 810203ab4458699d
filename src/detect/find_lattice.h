// SPDX-License-Identifier: Apache-2.0
// Where a lattice of known steps lies on a sheet: origin, turn, rows and columns.
#ifndef TRUEPULL_SRC_DETECT_FIND_LATTICE_H_
#define TRUEPULL_SRC_DETECT_FIND_LATTICE_H_

#include <optional>

#include "detect/paper_light.h"
#include "truepull/plan.h"

namespace truepull::detect {

/// The plan's lattice turned about its origin: steps, tiles and cell members.
Lattice TurnLattice(Lattice lattice, double turn_rad);

/// A plan of one site that covers the sheet but for its rim: light is told by that rim
/// where nothing is known of the sites.
Plan RimOnly(const Plan& plan);

/// The lattice to within a few millimetres and half a degree; nothing when fewer than
/// three pulls are found.
std::optional<Lattice> FindLattice(const SheetMap& map, const Plan& plan);

}  // namespace truepull::detect

#endif  // TRUEPULL_SRC_DETECT_FIND_LATTICE_H_
