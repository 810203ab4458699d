// SPDX-License-Identifier: Apache-2.0
// What colours lie where inside every pull, from the sheet's map of light.
#ifndef TRUEPULL_SRC_DETECT_REGIONS_H_
#define TRUEPULL_SRC_DETECT_REGIONS_H_

#include <vector>

#include "detect/ink.h"
#include "detect/paper_light.h"
#include "truepull/colour_regions.h"
#include "truepull/plan.h"

namespace truepull::detect {

struct SheetColours {
  std::vector<PullColours> pulls;        // Of the present ones, in order.
  std::vector<PlateDrawing> drawings;
};

/// Squares of 0.5 mm (more on tiles beyond 80 mm) are sorted into the pull's own colours,
/// what most squares around have is taken, and parts under 12 mm^2 (or 0.6 % of the tile)
/// go to what surrounds them.
///
/// sites, pulls, inks  Of every site of the plan, in one order.
SheetColours MeasureColours(const SheetMap& map, const Plan& plan, const std::vector<Site>& sites,
                            const std::vector<Pull>& pulls, const std::vector<Ink>& inks);

}  // namespace truepull::detect

#endif  // TRUEPULL_SRC_DETECT_REGIONS_H_
