// SPDX-License-Identifier: Apache-2.0
// Which corner of the quadrilateral is the sheet's top left.
#ifndef TRUEPULL_PHOTO_QUARTER_TURN_H_
#define TRUEPULL_PHOTO_QUARTER_TURN_H_

#include <array>

#include "photo/quad.h"

namespace truepull {

/// Width over height of the rectangle that a quadrilateral shows, for a camera of this
/// focal length with its axis at `centre`, sides 0 and 2 being the width (Hartley &
/// Zisserman, 8.8: the columns of K^-1 H are the rectangle's sides up to one scale).
double RatioOfQuad(const Quad& ideal, Point centre, double focal_px);

/// ln (ratio seen / ratio planned), the smallest for a camera between a wide angle and a
/// portrait lens (0.6 to 1.5 times the longer side) around the guess: a strong tilt with a
/// wrongly guessed focal length is no contradiction. With a known focal length: for it only.
double RatioContradiction(const Quad& ideal,
                          Point centre,
                          double focal_px,
                          double longer_px,
                          bool focal_known,
                          double planned_ratio);

struct SheetTurn {
  std::size_t top_left = 0;    // Index of the corner.
  double roll_rad = 0;         // Of the sheet's top side in the picture, clockwise.
  double contradiction = 0;    // ln (ratio seen / ratio planned) of the choice.
  bool on_its_side = false;    // Turned by more than 45 degrees.
};

/// Of the four ways round, those that agree with the sheet's ratio, and of them the one
/// whose top is nearest the picture's top.
SheetTurn ChooseTurn(const Quad& ideal, Point centre, double focal_px, double width_mm, double height_mm);

}  // namespace truepull

#endif  // TRUEPULL_PHOTO_QUARTER_TURN_H_
