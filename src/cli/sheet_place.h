// SPDX-License-Identifier: Apache-2.0
// What `read` takes the sheet's place from: its edges, points given by hand, marks in its margin.
#ifndef TRUEPULL_CLI_SHEET_PLACE_H_
#define TRUEPULL_CLI_SHEET_PLACE_H_

#include <vector>

#include "truepull/photo.h"
#include "truepull/point_frame.h"

namespace truepull {

struct SheetPlaceBy {
  std::vector<GivenPoint> points;   // Instead of the sheet's edges; empty: the edges are found.
  bool margin_marks = false;        // The margin's marks, looked for where edges or points say.
};

struct SheetPlace {
  SheetFrame frame;
  bool way_up_known = false;        // The print need not be asked.
};

/// Fails as FindSheet, FrameFromPoints and FrameFromMargin do.
Result<SheetPlace> PlaceOfSheet(const Photo& photo, const Sheet& sheet, const SheetPlaceBy& by);

}  // namespace truepull

#endif  // TRUEPULL_CLI_SHEET_PLACE_H_
