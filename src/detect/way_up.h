// SPDX-License-Identifier: Apache-2.0
// Which side of the sheet is its top, as far as the print tells it.
#ifndef TRUEPULL_SRC_DETECT_WAY_UP_H_
#define TRUEPULL_SRC_DETECT_WAY_UP_H_

#include "detect/paper_light.h"
#include "detect/plate_shape.h"
#include "truepull/photo.h"
#include "truepull/plan.h"

namespace truepull::detect {

struct WayUp {
  int quarters = 0;            // Turns of the sheet's frame, clockwise, that the print asks for.
  enum class By { kNothing, kOutline, kMargins, kColours } by = By::kNothing;
  // Nothing on the print tells the ways apart that the sides' ratio leaves open.
  bool assumed = false;
};

/// Lays the plan on the map in every way that the sides' ratio leaves open (two, or four
/// on a sheet that is nearly square) and compares how well the outlines meet the ink, how
/// far the whole lattice would be off, and how many sites have their planned colour.
WayUp FindWayUp(const LitSheet& lit, const Plan& plan, const std::vector<PlateShape>& shapes);

/// The same sheet with its top at another side: (0, 0) of the new frame is the corner that
/// lies `quarters` corners on, clockwise.
SheetFrame TurnFrame(const SheetFrame& frame, const Sheet& sheet, int quarters);

}  // namespace truepull::detect

#endif  // TRUEPULL_SRC_DETECT_WAY_UP_H_
