// SPDX-License-Identifier: Apache-2.0
// What an outline's own symmetry hides: a plate that fits its outline the wrong way too.
#ifndef TRUEPULL_SRC_GUIDE_SYMMETRY_H_
#define TRUEPULL_SRC_GUIDE_SYMMETRY_H_

#include <span>
#include <string>
#include <vector>

#include "truepull/geometry.h"

namespace truepull {

struct OutlineSymmetry {
  bool mirror = false;  // It is its own mirror image: either face of the plate fits.
  int turns = 1;        // It fits itself turned by 360 / turns degrees; the most of 2, 3, 4, 6.
};

/// A hand cannot tell outlines apart that differ by less than this anywhere, mm.
inline constexpr double kSameOutlineMm = 0.3;

/// Turns and mirror axes through the centre of area that carry the outline onto itself,
/// every point to within kSameOutlineMm. Axes are tried at every degree and refined.
OutlineSymmetry SymmetryOf(std::span<const Point> outline);

/// "The outline is its own mirror image: ..."; nothing where the fit tells all. `plate` is
/// "The plate" or "Plate A".
std::vector<std::string> SymmetryWords(const OutlineSymmetry& symmetry, const std::string& plate);

}  // namespace truepull

#endif  // TRUEPULL_SRC_GUIDE_SYMMETRY_H_
