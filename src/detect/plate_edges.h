// SPDX-License-Identifier: Apache-2.0
// Where the plate's own edge differs from the plan's outline, over all pulls of a sheet.
#ifndef TRUEPULL_SRC_DETECT_PLATE_EDGES_H_
#define TRUEPULL_SRC_DETECT_PLATE_EDGES_H_

#include <vector>

#include "detect/edge_fit.h"
#include "truepull/plan.h"
#include "truepull/tile_reading.h"

namespace truepull::detect {

/// For each plate (and its mirror image): the outline in equal stretches of about 5 mm, and in
/// each the median over the pulls of how far the edge lies outside the fitted outline, with
/// the standard uncertainty of that median. Stretches seen on under three pulls have an
/// uncertainty of 1 mm; plates with under three pulls are left out.
std::vector<PlateEdges> MeasurePlateEdges(const Plan& plan, const std::vector<Site>& sites, const std::vector<Pull>& pulls);

}  // namespace truepull::detect

#endif  // TRUEPULL_SRC_DETECT_PLATE_EDGES_H_
