// SPDX-License-Identifier: Apache-2.0
// Small site names beside ticks and stop points, where more than one site's stand together.
#ifndef TRUEPULL_SRC_GUIDE_TICK_NAMES_H_
#define TRUEPULL_SRC_GUIDE_TICK_NAMES_H_

#include <span>

#include "guide/site_marks.h"

namespace truepull {

/// Beside every tick of a crowded site and every stop point: whose it is. Where four tiles
/// meet, eight pieces and four ticks stand within a thumb's breadth, and a hand that goes by
/// a neighbour's is off by all that the two differ.
///
/// A name keeps 0.6 mm clear of all else, and further from other sites' lines than from its
/// own where there is room; where there is none it is left out. `shapes` in the order of
/// `guide.site_boxes`, which grow with the names.
void NameTicks(std::span<const SiteShape> shapes, Guide& guide);

}  // namespace truepull

#endif  // TRUEPULL_SRC_GUIDE_TICK_NAMES_H_
