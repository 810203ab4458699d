// SPDX-License-Identifier: Apache-2.0
// How far something keeps from the lines already drawn.
#ifndef TRUEPULL_SRC_GUIDE_CLEARANCE_H_
#define TRUEPULL_SRC_GUIDE_CLEARANCE_H_

#include <span>
#include <vector>

#include "truepull/geometry.h"

namespace truepull {

struct Segment {
  Point a, b;
};

/// Distance from a point to a segment, mm.
double Distance(Point p, const Segment& s);

/// Least distance between two segments, mm; 0 where they cross.
double Distance(const Segment& a, const Segment& b);

/// Least distance from a filled box to a segment, mm; 0 where they touch.
double Distance(const Box& box, const Segment& s);

/// The same for many, but at most `most_mm`: what lies further away is not looked at.
double Clearance(const Box& box, std::span<const Segment> lines, double most_mm);
double Clearance(const Segment& line, std::span<const Segment> lines, double most_mm);

/// An outline with fewer points that strays at most `error_mm` from it (Douglas and
/// Peucker 1973): quick to keep clear of.
std::vector<Segment> CoarseEdges(std::span<const Point> outline, double error_mm);

}  // namespace truepull

#endif  // TRUEPULL_SRC_GUIDE_CLEARANCE_H_
