// SPDX-License-Identifier: Apache-2.0
// Pulls that stand at no site of the plan.
#ifndef TRUEPULL_SRC_DETECT_LEFT_OVER_H_
#define TRUEPULL_SRC_DETECT_LEFT_OVER_H_

#include <vector>

#include "detect/coarse_search.h"
#include "detect/edge_fit.h"
#include "detect/paper_light.h"
#include "truepull/tile_reading.h"

namespace truepull::detect {

/// Patches of ink outside every found outline that are as large as a good part of a pull,
/// about as dense as the sheet's own pulls, and edged like a tile. Shadows, finger marks
/// and pencil lines are none of these.
std::vector<LeftOverPull> FindLeftOver(const SheetMap& map, const OutlineScore& score, const std::vector<Pull>& pulls);

}  // namespace truepull::detect

#endif  // TRUEPULL_SRC_DETECT_LEFT_OVER_H_
