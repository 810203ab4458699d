// SPDX-License-Identifier: Apache-2.0
// Where a tile goes that the photo does not show: the place that fits its neighbours.
#ifndef TRUEPULL_SRC_PLACEMENT_NEIGHBOUR_FIT_H_
#define TRUEPULL_SRC_PLACEMENT_NEIGHBOUR_FIT_H_

#include "truepull/drift.h"
#include "truepull/plan.h"

namespace truepull {

/// The pose for the site with this index among report.sites; see PlaceNextPass.
Pose FitToNeighbours(const Plan& plan, const DriftReport& report, std::size_t index);

}  // namespace truepull

#endif  // TRUEPULL_SRC_PLACEMENT_NEIGHBOUR_FIT_H_
