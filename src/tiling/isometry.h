// SPDX-License-Identifier: Apache-2.0
// Moves of the plane that keep lengths: turned, perhaps mirrored, and moved.
#ifndef TRUEPULL_SRC_TILING_ISOMETRY_H_
#define TRUEPULL_SRC_TILING_ISOMETRY_H_

#include <cmath>

#include "truepull/geometry.h"

namespace truepull::tiling {

/// p -> R(turn) M p + at, M = (x -> -x) where mirrored: the order in which a plan's cell
/// member is mirrored, turned and placed.
struct Isometry {
  bool mirrored = false;
  Point cosine_sine{1, 0};
  Point at;

  Point Linear(Point p) const {
    if (mirrored) p.x = -p.x;
    return {cosine_sine.x * p.x - cosine_sine.y * p.y, cosine_sine.y * p.x + cosine_sine.x * p.y};
  }
  Point operator()(Point p) const { return Linear(p) + at; }
  double turn_rad() const { return std::atan2(cosine_sine.y, cosine_sine.x); }

  /// The move that carries segment a-b onto c-d (equally long), mirrored or not.
  static Isometry Between(Point a, Point b, Point c, Point d, bool mirrored) {
    Point from = b - a;
    const Point to = d - c;
    if (mirrored) from.x = -from.x;
    Isometry m;
    m.mirrored = mirrored;
    const double length2 = Norm(from) * Norm(to);
    m.cosine_sine = {Dot(from, to) / length2, Cross(from, to) / length2};
    m.at = c - m.Linear(a);
    return m;
  }
  /// This after `first`.
  Isometry After(const Isometry& first) const {
    Isometry m;
    m.mirrored = mirrored != first.mirrored;
    // R1 M1 R2 M2 = R1 R2^(+-1) M1 M2: a mirror turns the other turn round.
    const double s = mirrored ? -first.cosine_sine.y : first.cosine_sine.y;
    const double c = first.cosine_sine.x;
    m.cosine_sine = {cosine_sine.x * c - cosine_sine.y * s, cosine_sine.y * c + cosine_sine.x * s};
    m.at = (*this)(first.at);
    return m;
  }
  Isometry Inverse() const {
    Isometry m;
    m.mirrored = mirrored;
    m.cosine_sine = mirrored ? cosine_sine : Point{cosine_sine.x, -cosine_sine.y};
    m.at = -1.0 * m.Linear(at);
    return m;
  }
};

}  // namespace truepull::tiling

#endif  // TRUEPULL_SRC_TILING_ISOMETRY_H_
