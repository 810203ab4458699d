// SPDX-License-Identifier: Apache-2.0
// Tiles that were put down the wrong way round: turned, or printed from the back.
#ifndef TRUEPULL_SRC_DETECT_ODD_TILES_H_
#define TRUEPULL_SRC_DETECT_ODD_TILES_H_

#include <vector>

#include "detect/coarse_search.h"
#include "detect/edge_fit.h"
#include "detect/explain.h"
#include "detect/other_ways.h"

namespace truepull::detect {

/// What was taken for true of a site in place of the plan.
struct OddTile {
  std::size_t site = 0;        // Index.
  OtherWay way;
};

/// Tries every other way on the pulls that the planned way explains poorly: first on the
/// map, then on the photo. A way is taken only when it explains the light clearly better
/// than the planned one does from its own best place. Changes pose, shape and expected
/// place of such pulls, and leaves one candidate for them.
std::vector<OddTile> FindOddTiles(const OutlineScore& score, const EdgeFit& fit, Explain& judge,
                                  const OtherWays& ways, std::vector<Pull>& pulls, std::vector<Pose>& expected,
                                  std::vector<std::vector<Candidate>>& candidates);

}  // namespace truepull::detect

#endif  // TRUEPULL_SRC_DETECT_ODD_TILES_H_
