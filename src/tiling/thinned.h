// SPDX-License-Identifier: Apache-2.0
// A line with fewer points.
#ifndef TRUEPULL_SRC_TILING_THINNED_H_
#define TRUEPULL_SRC_TILING_THINNED_H_

#include <span>

#include "truepull/geometry.h"

namespace truepull::tiling {

/// Leaves out points that stand less than `tolerance_mm` off the line through those kept
/// (D. H. Douglas and T. K. Peucker, Cartographica 10(2), 1973). Ends are kept.
Outline Thinned(std::span<const Point> line, double tolerance_mm);

/// The same for a closed outline; its point 0 is kept.
Outline ThinnedOutline(std::span<const Point> outline, double tolerance_mm);

}  // namespace truepull::tiling

#endif  // TRUEPULL_SRC_TILING_THINNED_H_
