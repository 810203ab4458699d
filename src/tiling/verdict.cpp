// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "tiling/boundary.h"
#include "tiling/repeats.h"
#include "truepull/tiling.h"

namespace truepull {
namespace {

// Turning the tile about its centre of area by 360 / k degrees must carry corner i to
// corner i + n / k.
int OwnTurns(const tiling::Boundary& b, double tolerance) {
  const std::size_t n = b.size();
  const Point centre = Centroid(b.corners());
  // Of the turns that fit the largest order is the answer: all others divide it.
  for (std::size_t k = n; k >= 2; --k) {
    if (n % k != 0) continue;
    const Rotation turn(2 * std::numbers::pi / static_cast<double>(k));
    bool alike[2] = {true, true};  // Corners may run either way round.
    for (std::size_t i = 0; i < n && (alike[0] || alike[1]); ++i) {
      const Point to = centre + turn * (b.corners()[i] - centre);
      alike[0] = alike[0] && Norm(b.corners()[(i + n / k) % n] - to) <= tolerance;
      alike[1] = alike[1] && Norm(b.corners()[(i + n - n / k) % n] - to) <= tolerance;
    }
    if (alike[0] || alike[1]) return static_cast<int>(k);
  }
  return 1;
}

// A mirror line passes through the centre of area and swaps corner i with corner s - i.
bool OwnMirror(const tiling::Boundary& b, double tolerance) {
  const std::size_t n = b.size();
  const Point centre = Centroid(b.corners());
  for (std::size_t s = 0; s < n; ++s) {
    Point axis;
    for (std::size_t i = 0; i < n; ++i) {
      // The longest sum or difference settles the line best.
      const Point p = b.corners()[i] - centre, q = b.corners()[(s + n - i) % n] - centre;
      const Point sum = p + q, across = q - p;
      if (Dot(sum, sum) > Dot(axis, axis)) axis = sum;
      if (Dot(across, across) > Dot(axis, axis)) axis = {across.y, -across.x};
      // Both ends of a mirrored pair are equally far from the line's point.
      if (std::abs(Dot(sum, across)) > 4 * tolerance * (std::abs(sum.x) + std::abs(sum.y) +
                                                        std::abs(across.x) + std::abs(across.y))) {
        axis = {};
        break;
      }
    }
    if (axis == Point{}) continue;
    axis = (1 / Norm(axis)) * axis;
    bool alike = true;
    for (std::size_t i = 0; i < n && alike; ++i) {
      const Point p = b.corners()[i] - centre, q = b.corners()[(s + n - i) % n] - centre;
      alike = Norm(2 * Dot(p, axis) * axis - p - q) <= tolerance;
    }
    if (alike) return true;
  }
  return false;
}

}  // namespace

Status CheckOutline(std::span<const Point> outline) {
  const std::size_t n = outline.size();
  if (n < 3) {
    return Error{ErrorCode::kInvalidFile,
                 fmt::format("the outline has {} point{}; a tile needs 3 or more", n,
                             n == 1 ? "" : "s"),
                 ""};
  }
  for (std::size_t i = 0; i < n; ++i) {
    if (!std::isfinite(outline[i].x) || !std::isfinite(outline[i].y)) {
      return Error{ErrorCode::kInvalidFile, fmt::format("point {} of the outline is no number", i + 1),
                   ""};
    }
  }
  for (std::size_t i = 0; i < n; ++i) {
    const Point a = outline[i], b = outline[(i + 1) % n];
    if (Norm(b - a) < 1e-9) {
      return Error{
          ErrorCode::kInvalidFile,
          fmt::format("points {} and {} of the outline are the same ({:.3f}, {:.3f}): an edge of no "
                      "length",
                      i + 1, (i + 1) % n + 1, a.x, a.y),
          n > 3 ? "leave one of the two out; the last point joins the first by itself" : ""};
    }
  }
  if (const auto crossing = FindSelfCrossing(outline)) {
    return Error{
        ErrorCode::kInvalidFile,
        fmt::format("the outline meets itself at ({:.2f}, {:.2f}) mm: the edge from point {} to {} "
                    "and the edge from point {} to {}",
                    crossing->at.x, crossing->at.y, crossing->first_edge + 1,
                    (crossing->first_edge + 1) % n + 1, crossing->second_edge + 1,
                    (crossing->second_edge + 1) % n + 1),
        "a tile is one piece without holes; its edge may neither cross nor touch itself"};
  }
  return Done{};
}

Result<TilingVerdict> JudgeOutline(std::span<const Point> outline, const TilingOptions& options) {
  if (const Status ok = CheckOutline(outline); !ok) return ok.error();
  const tiling::Boundary boundary(outline, options.exact_mm);
  TilingVerdict verdict;
  verdict.area_mm2 = std::abs(SignedArea(outline));
  verdict.perimeter_mm = boundary.length();
  verdict.shifts = tiling::FindShiftRepeat(boundary, verdict.area_mm2);
  verdict.half_turns = tiling::FindHalfTurnRepeat(boundary, verdict.area_mm2);
  // Ten times the exactness of seams: symmetry is a warning and may be judged loosely.
  verdict.own_turns = OwnTurns(boundary, 10 * options.exact_mm);
  verdict.own_mirror = OwnMirror(boundary, 10 * options.exact_mm);
  verdict.weak_places = FindWeakPlaces(outline, options);
  return verdict;
}

}  // namespace truepull
