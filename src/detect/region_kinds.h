// SPDX-License-Identifier: Apache-2.0
// What each colour of a pull is, how large and which colour; how the pull was charged.
#ifndef TRUEPULL_SRC_DETECT_REGION_KINDS_H_
#define TRUEPULL_SRC_DETECT_REGION_KINDS_H_

#include <string>
#include <vector>

#include "detect/colour_classes.h"
#include "detect/common_drawing.h"
#include "detect/ink.h"
#include "truepull/colour_regions.h"

namespace truepull::detect {

/// One for each class. A band lies along a third of the outline and more, and nowhere deep.
std::vector<RegionKind> KindsOf(const TileGrid& grid, const cv::Mat& labels, const ColourClasses& colours);

/// Area, mean colour and spread of a label; kind, colour and outlines are left as they are.
/// Squares on the region's border and those of mixed light count for the area only; those of
/// `drawn` (> 0; may be null) for neither.
ColourRegion RegionOf(const TileGrid& grid, const TileLight& pull, const cv::Mat& labels, const cv::Mat& mixed, int label,
                      const cv::Mat* drawn);

/// How a common drawing shows on this pull: scratched bare or dark beside what lies next to it,
/// or not at all.
struct DrawnLines {
  bool there = false;
  ColourRegion region;
};
DrawnLines LinesOf(const TileGrid& grid, const TileLight& pull, const CommonDrawing& drawing);

/// The plan's colour that a mean colour is, thinly or fully laid; -1 where none is near.
int PlanColourOf(const Lab& lab, const std::vector<std::string>& colours);

Charge ChargeOf(const Ink& ink);

/// Fills `cell_mm` and `cover`.
void CoverOf(const TileGrid& grid, const TileLight& pull, double full_density, PullColours& out);

}  // namespace truepull::detect

#endif  // TRUEPULL_SRC_DETECT_REGION_KINDS_H_
