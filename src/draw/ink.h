// SPDX-License-Identifier: Apache-2.0
// What inks, dashes and faces look like, the same in PDF and SVG.
#ifndef TRUEPULL_SRC_DRAW_INK_H_
#define TRUEPULL_SRC_DRAW_INK_H_

#include <vector>

#include "truepull/guide.h"

namespace truepull {

struct Rgb {
  int r = 0, g = 0, b = 0;
};
/// Dark blue and dark orange differ in lightness too; greys for the rest.
Rgb ColourOf(Ink ink);

/// Lengths of strokes and gaps, mm; empty for a full line.
std::vector<double> PatternOf(Dash dash);

/// The face asked for first (others stand in where it is missing), and the height of its
/// capitals in shares of the em.
inline constexpr const char* kFace = "DejaVu Sans";
inline constexpr const char* kOtherFaces = "Verdana, Helvetica, Arial, sans-serif";
inline constexpr double kFaceCapOfEm = 0.729;

}  // namespace truepull

#endif  // TRUEPULL_SRC_DRAW_INK_H_
