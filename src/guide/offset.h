// SPDX-License-Identifier: Apache-2.0
// An outline moved outwards, for lines whose edge is the aim and for openings with room.
#ifndef TRUEPULL_SRC_GUIDE_OFFSET_H_
#define TRUEPULL_SRC_GUIDE_OFFSET_H_

#include "truepull/geometry.h"

namespace truepull {

/// The outline `by_mm` further out everywhere, corners kept sharp (mitred, cut off where
/// the point would stand more than five times as far out). By GEOS; the outer ring only,
/// so narrow bays may close. An outline that GEOS refuses is given back as it is.
Outline Widened(const Outline& outline, double by_mm);

}  // namespace truepull

#endif  // TRUEPULL_SRC_GUIDE_OFFSET_H_
