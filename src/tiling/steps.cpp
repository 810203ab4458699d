// SPDX-License-Identifier: Apache-2.0
#include <cmath>
#include <utility>

#include "truepull/tiling.h"

namespace truepull {

LatticeSteps ReduceSteps(LatticeSteps steps) {
  Point a = steps.across, b = steps.down;
  // Each turn shortens the longer step; the bound only guards against parallel steps.
  for (int i = 0; i < 200; ++i) {
    if (Dot(b, b) < Dot(a, a)) std::swap(a, b);
    const double aa = Dot(a, a);
    if (aa == 0) break;
    const double k = std::round(Dot(a, b) / aa);
    if (k == 0) break;
    const Point shorter = b - k * a;
    if (Dot(shorter, shorter) >= Dot(b, b)) break;  // Equal by rounding: done.
    b = shorter;
  }
  return {a, b};
}

LatticeSteps OrientSteps(LatticeSteps steps) {
  Point a = steps.across, b = steps.down;
  if (std::abs(a.x) * Norm(b) < std::abs(b.x) * Norm(a)) std::swap(a, b);
  if (a.x < 0) a = -1.0 * a;
  if (Cross(a, b) < 0) b = -1.0 * b;
  // Adding 0 turns -0, which a file or page would show, into 0.
  return {a + Point{}, b + Point{}};
}

}  // namespace truepull
