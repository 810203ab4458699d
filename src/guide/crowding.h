// SPDX-License-Identifier: Apache-2.0
// Where lines of different sites come too near: corner pieces instead of outlines.
#ifndef TRUEPULL_SRC_GUIDE_CROWDING_H_
#define TRUEPULL_SRC_GUIDE_CROWDING_H_

#include <span>
#include <vector>

#include "guide/site_marks.h"
#include "truepull/site_colours.h"

namespace truepull {

/// Marks the sites whose line comes nearer than kLinesApartMm to another's, and decides
/// what is drawn of every site: `tick_lines`, and for marked ones `pieces`.
///
/// Stop points are kept first, then ticks (where another's line is near they begin further
/// outside their outline, at least 2 mm of them is left), then pieces of the outline on both sides of the two
/// target points, 1 to 8 mm from the point, each cut back to the stretch that keeps clear
/// of all lines kept so far. Deterministic: in the order of sites.
void SettleCrowding(std::vector<SiteShape>& shapes, std::span<const SiteTick> ticks, double line_mm);

/// Pairs of shapes whose outlines come nearer than `apart_mm`.
std::vector<SitePair> PairsNearerThan(std::span<const SiteShape> shapes, double apart_mm);

/// As few groups as can be so that no pair of one group is listed; numbers from 0 per node.
std::vector<int> PartsWithoutPairs(int nodes, const std::vector<SitePair>& pairs);

}  // namespace truepull

#endif  // TRUEPULL_SRC_GUIDE_CROWDING_H_
