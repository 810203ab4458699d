// SPDX-License-Identifier: Apache-2.0
// A place on a side of the sheet where its edge was seen.
#ifndef TRUEPULL_PHOTO_SIDE_POINT_H_
#define TRUEPULL_PHOTO_SIDE_POINT_H_

#include <cstddef>

#include "truepull/geometry.h"

namespace truepull {

struct SidePoint {
  std::size_t side = 0;  // Side i runs from corner i to corner i + 1, clockwise.
  double along = 0;      // Share of the side, 0 at corner i.
  Point at;              // Photo px.
  double sd_px = 0.3;    // Across the side.
};

}  // namespace truepull

#endif  // TRUEPULL_PHOTO_SIDE_POINT_H_
