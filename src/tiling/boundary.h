// SPDX-License-Identifier: Apache-2.0
// An outline as a walk: corners only, places as lengths, and how far two walks agree.
#ifndef TRUEPULL_SRC_TILING_BOUNDARY_H_
#define TRUEPULL_SRC_TILING_BOUNDARY_H_

#include <cstddef>
#include <span>
#include <vector>

#include "truepull/geometry.h"

namespace truepull::tiling {

/// A closed walk whose straight points are taken out. Places are lengths from corner 0,
/// modulo the length.
class Boundary {
 public:
  Boundary(std::span<const Point> outline, double exact_mm);

  std::size_t size() const { return corners_.size(); }
  double length() const { return length_; }
  double exact() const { return exact_; }
  /// Lengths add up rounding of many edges, hence wider than exact().
  double place_tolerance() const { return 4 * exact_; }

  const std::vector<Point>& corners() const { return corners_; }
  /// Place of corner i; CornerPlace(size()) is the length.
  double CornerPlace(std::size_t i) const { return place_[i]; }
  Point Direction(std::size_t edge) const { return direction_[edge]; }
  double EdgeLength(std::size_t edge) const { return place_[edge + 1] - place_[edge]; }
  double MiddleOf(std::size_t edge) const { return (place_[edge] + place_[edge + 1]) / 2; }

  double Wrap(double place) const;
  Point At(double place) const;
  /// The edge a walk from here in this direction (+1, -1) starts on.
  std::size_t EdgeFrom(double place, int direction) const;
  /// Place from point 0 of the outline as it was given.
  double GivenPlace(double place) const { return Wrap(place + offset_); }

  /// How far a walk from `a` (direction da) and one from `b` (direction db) stay alike:
  /// |(p(a + da t) - p(a)) - sign (p(b + db t) - p(b))| <= exact(), for all t up to the
  /// answer, which is never over `limit`. Ends at a corner of one of them or at `limit`.
  double Agree(double a, int da, double b, int db, double sign, double limit) const;

 private:
  std::vector<Point> corners_;
  std::vector<Point> direction_;
  std::vector<double> place_;
  double length_ = 0;
  double exact_ = 0;
  double offset_ = 0;
};

}  // namespace truepull::tiling

#endif  // TRUEPULL_SRC_TILING_BOUNDARY_H_
