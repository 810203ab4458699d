// SPDX-License-Identifier: Apache-2.0
// Whether a pattern of the table runs across what may be a side of the sheet.
#ifndef TRUEPULL_PHOTO_SIDE_PATTERN_H_
#define TRUEPULL_PHOTO_SIDE_PATTERN_H_

#include <span>
#include <vector>

#include "photo/small_picture.h"

namespace truepull {

/// 8-bit Lab levels and whiteness at a place of the small picture.
struct Colour {
  double l = 0, a = 0, b = 0, white = 0;
};

/// Between pixels; false outside the picture.
bool ColourAt(const SmallPicture& small, Point p, Colour* colour);

/// The middle value; reorders the values.
double MedianOf(std::span<double> values);

/// How far a pattern runs across a side, 0 to 1: the share of the rim just inside whose
/// colour comes and goes, where what lies just beyond comes and goes with it. So it is on a
/// checked cloth or a board. Print that runs to the sheet's edge comes and goes too, but the
/// table beyond does not follow it. `rim` and `beyond`: at the same places in order.
double Unrest(const std::vector<Colour>& rim, const std::vector<Colour>& beyond);

}  // namespace truepull

#endif  // TRUEPULL_PHOTO_SIDE_PATTERN_H_
