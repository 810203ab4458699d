// SPDX-License-Identifier: Apache-2.0
#include "photo/quarter_turn.h"

#include <cmath>

#include "truepull/camera.h"
#include "truepull/units.h"

namespace truepull {

double RatioOfQuad(const Quad& ideal, Point centre, double focal_px) {
  Quad n;
  for (std::size_t i = 0; i < 4; ++i) n[i] = (1 / focal_px) * (ideal[i] - centre);
  const Quad unit{Point{0, 0}, Point{1, 0}, Point{1, 1}, Point{0, 1}};
  const auto h = HomographyFromFour(unit, n);
  const double across = std::hypot(h[0], h[3], h[6]), down = std::hypot(h[1], h[4], h[7]);
  return down > 0 ? across / down : 0;
}

double RatioContradiction(const Quad& ideal,
                          Point centre,
                          double focal_px,
                          double longer_px,
                          bool focal_known,
                          double planned_ratio) {
  double least = std::log(RatioOfQuad(ideal, centre, focal_px) / planned_ratio);
  if (focal_known) return least;
  for (double share = 0.6; share < 1.51; share *= 1.1) {
    const double off = std::log(RatioOfQuad(ideal, centre, share * longer_px) / planned_ratio);
    if (std::abs(off) < std::abs(least)) least = off;
  }
  return least;
}

SheetTurn ChooseTurn(const Quad& ideal, Point centre, double focal_px, double width_mm, double height_mm) {
  const double seen = RatioOfQuad(ideal, centre, focal_px), planned = width_mm / height_mm;
  const double as_is = std::log(seen / planned), turned = std::log(1 / seen / planned);
  // A near-square sheet gives no hint; then all four ways are open.
  const bool either = std::abs(std::log(planned)) < 0.04;
  SheetTurn best;
  double least = 1e9;
  for (std::size_t i = 0; i < 4; ++i) {
    const double contradiction = i % 2 == 0 ? as_is : turned;
    if (!either && std::abs(contradiction) > std::abs(i % 2 == 0 ? turned : as_is)) continue;
    const Point top = ideal[Next(i)] - ideal[i], bottom = ideal[Next(Next(i))] - ideal[Before(i)];
    const Point right = (1 / Norm(top)) * top + (1 / Norm(bottom)) * bottom;
    const double roll = std::atan2(right.y, right.x);
    // At exactly a quarter turn rounding must not decide: clockwise wins.
    const double size = std::abs(roll) - (roll > 0 ? 1e-3 : 0);
    if (size >= least) continue;
    least = size;
    best = {i, roll, contradiction, std::abs(roll) > RadFromDeg(45)};
  }
  return best;
}

}  // namespace truepull
