// SPDX-License-Identifier: Apache-2.0
// The plates as they really are, found from the print and used for a second measuring.
#ifndef TRUEPULL_SRC_DETECT_PLATE_ROUND_H_
#define TRUEPULL_SRC_DETECT_PLATE_ROUND_H_

#include <string>
#include <vector>

#include "detect/coarse_search.h"
#include "detect/explain.h"
#include "detect/plate_edge.h"

namespace truepull::detect {

/// What was found of one plate shape.
struct PlateFound {
  double ratio = 1, sd_ratio = 1;     // Size over the plan's, when it is another.
  std::vector<Departure> departures;
  bool other_outline = false;         // The edge agrees with the plan hardly anywhere.
  bool changed() const { return ratio != 1 || !departures.empty(); }
};

/// Where the planned outline agrees with hardly any edge: the size over the plan's, of the
/// few that the map likes, whose outlines explain the light best when all pulls are fitted
/// with it. Takes over shapes and poses when it is another than 1.
double FindPlateScale(const OutlineScore& score, const EdgeFit& fit, Explain& judge, std::vector<PlateShape>& shapes,
                      std::vector<Pull>& pulls);

/// Pools the edges of every shape's pulls, and where size or outline depart from the
/// plan, puts the true outline into `shapes` and measures again. `found` holds what was
/// known before (a rough scale) and takes what was found.
void MeasurePlates(const EdgeFit& fit, std::vector<PlateShape>& shapes, std::vector<Pull>& pulls,
                   std::vector<PlateFound>& found);

}  // namespace truepull::detect

#endif  // TRUEPULL_SRC_DETECT_PLATE_ROUND_H_
