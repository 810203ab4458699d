// SPDX-License-Identifier: Apache-2.0
// Points, poses and outlines in the plane.
//
// Frames: `sheet` is in mm, origin at the sheet's top-left corner seen from the printed
// face, x right, y down. `tile` is in mm about the tile's reference point, as the tile
// looks on the paper. Turns are in radians, positive clockwise as seen on the printed
// face; with y down that is the ordinary rotation matrix [c -s; s c].
#ifndef TRUEPULL_GEOMETRY_H_
#define TRUEPULL_GEOMETRY_H_

#include <array>
#include <cmath>
#include <cstddef>
#include <optional>
#include <span>
#include <vector>

namespace truepull {

struct Point {
  double x = 0;
  double y = 0;
  friend bool operator==(const Point&, const Point&) = default;
};

inline Point operator+(Point a, Point b) { return {a.x + b.x, a.y + b.y}; }
inline Point operator-(Point a, Point b) { return {a.x - b.x, a.y - b.y}; }
inline Point operator*(double s, Point a) { return {s * a.x, s * a.y}; }
inline double Dot(Point a, Point b) { return a.x * b.x + a.y * b.y; }
/// z of the cross product: positive when b lies clockwise of a as seen (y down).
inline double Cross(Point a, Point b) { return a.x * b.y - a.y * b.x; }
inline double Norm(Point a) { return std::hypot(a.x, a.y); }

/// Symmetric 3 x 3, row-major, order x, y, turn; mm and rad.
using PoseCovariance = std::array<double, 9>;

/// Cosine and sine of a turn; exact for whole quarter turns.
struct Rotation {
  double c = 1;
  double s = 0;
  explicit Rotation(double turn_rad);
  Point operator*(Point p) const { return {c * p.x - s * p.y, s * p.x + c * p.y}; }
};

/// Where a tile lies: its reference point on the sheet (mm) and its turn (rad).
struct Pose {
  Point at;
  double turn_rad = 0;
  friend bool operator==(const Pose&, const Pose&) = default;
};

/// Carries a point of the tile frame onto the sheet: sheet_from_tile.
Point Apply(const Pose& pose, Point point_in_tile);
/// Carries a point of the sheet into the tile frame: the inverse of Apply.
Point ApplyInverse(const Pose& pose, Point point_in_sheet);

/// A turn wrapped to (-pi, pi].
double WrapTurn(double turn_rad);

/// A closed polygon; the last point joins the first and is not repeated.
using Outline = std::vector<Point>;

/// Carries a whole outline of the tile frame onto the sheet.
Outline Apply(const Pose& pose, std::span<const Point> outline_in_tile);

/// Area by the shoelace formula, mm^2; positive when the points run clockwise as seen
/// on the printed face (y down).
double SignedArea(std::span<const Point> outline);

/// Centre of area. An outline of no area gives the mean of its points.
Point Centroid(std::span<const Point> outline);

/// Length round the closed outline, mm.
double Perimeter(std::span<const Point> outline);

/// Largest distance of an outline point from the tile's reference point, mm.
double Radius(std::span<const Point> outline);

struct Box {
  double left = 0, top = 0, right = 0, bottom = 0;
  double Width() const { return right - left; }
  double Height() const { return bottom - top; }
};
Box BoundingBox(std::span<const Point> points);

/// Whether a point lies inside, by counting crossings (even-odd). Points within
/// rounding of an edge may fall on either side.
bool Contains(std::span<const Point> outline, Point point);

/// Distance to the outline, mm: positive inside, negative outside.
double SignedDistance(std::span<const Point> outline, Point point);

/// Two edges of an outline that meet where they should not (crossing, touching at a
/// point that is no shared end, or lying on one another).
struct SelfCrossing {
  std::size_t first_edge = 0;  // Edge i runs from point i to point i + 1.
  std::size_t second_edge = 0;
  Point at;
};
/// Finds the first self-crossing in order of edges, if any. O(n log n) typical, by a
/// sweep over the edges sorted by x.
std::optional<SelfCrossing> FindSelfCrossing(std::span<const Point> outline);

/// A point on an outline with the unit normal that points out of it.
struct EdgeSample {
  Point at;
  Point outward;
  double along_mm = 0;   // Distance from point 0 along the outline.
  double corner = 0;     // 0 on a smooth stretch, 1 within reach of a sharp corner.
};
/// Samples an outline at even steps (the nearest step that divides its length).
/// Normals are averaged over +-smooth_mm along the outline; `corner` is 1 where the
/// direction changes by more than 25 degrees within +-smooth_mm.
std::vector<EdgeSample> SampleOutline(std::span<const Point> outline,
                                      double step_mm,
                                      double smooth_mm);

/// A covariance of independent parts, from standard deviations.
PoseCovariance DiagonalCovariance(double sd_x_mm, double sd_y_mm, double sd_turn_rad);

}  // namespace truepull

#endif  // TRUEPULL_GEOMETRY_H_
