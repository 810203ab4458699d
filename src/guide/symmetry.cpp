// SPDX-License-Identifier: Apache-2.0
#include "guide/symmetry.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "guide/clearance.h"
#include "truepull/units.h"

namespace truepull {
namespace {

// How far any of the points comes to lie from the outline; stops looking beyond `enough`.
template <typename Move>
double Off(std::span<const Point> points, std::span<const Segment> edges, Move move, double enough) {
  double worst = 0;
  for (const Point p : points) {
    const Point q = move(p);
    double nearest = 1e9;
    for (const Segment& s : edges) {
      nearest = std::min(nearest, Distance(q, s));
      if (nearest <= worst) break;
    }
    worst = std::max(worst, nearest);
    if (worst > enough) break;
  }
  return worst;
}

}  // namespace

OutlineSymmetry SymmetryOf(std::span<const Point> outline) {
  OutlineSymmetry out;
  if (outline.size() < 3) return out;
  const Outline whole(outline.begin(), outline.end());
  const Point c = Centroid(whole);
  const std::vector<Segment> edges = CoarseEdges(outline, 0.02);
  std::vector<Point> points;
  for (const Segment& s : edges) {
    // The middles as well: a shape's corners alone may fit where its sides do not.
    points.push_back(s.a);
    points.push_back(0.5 * (s.a + s.b));
  }
  for (const int n : {6, 4, 3, 2}) {
    const Rotation turn(2 * std::numbers::pi / n);
    if (Off(points, edges, [&](Point p) { return c + turn * (p - c); }, kSameOutlineMm) <= kSameOutlineMm) {
      out.turns = n;
      break;
    }
  }
  double reach = 0;
  for (const Point p : points) reach = std::max(reach, Norm(p - c));
  const auto mirrored = [&](double axis_deg, double enough) {
    // A turn by twice the axis's angle after an exchange of up and down.
    const Rotation turn(RadFromDeg(2 * axis_deg));
    return Off(points, edges, [&](Point p) { return c + turn * Point{p.x - c.x, c.y - p.y}; }, enough);
  };
  // Half a degree off the axis moves a point by a degree of its distance.
  const double coarse = kSameOutlineMm + RadFromDeg(1) * reach;
  for (int axis = 0; axis < 180 && !out.mirror; ++axis) {
    if (mirrored(axis, coarse) > coarse) continue;
    for (int tenth = -6; tenth <= 6 && !out.mirror; ++tenth) {
      out.mirror = mirrored(axis + 0.1 * tenth, kSameOutlineMm) <= kSameOutlineMm;
    }
  }
  return out;
}

std::vector<std::string> SymmetryWords(const OutlineSymmetry& s, const std::string& plate) {
  std::vector<std::string> out;
  if (s.mirror) {
    out.push_back(plate + " may show either face: its outline is its own mirror image, so the fit cannot tell which face is up. "
                          "Go by what is drawn on it, or mark its back.");
  }
  if (s.turns > 1) {
    out.push_back(fmt::format("{} also fits turned by {} degrees; the fit cannot tell. Mark its top edge.", plate, 360 / s.turns));
  }
  return out;
}

}  // namespace truepull
