// SPDX-License-Identifier: Apache-2.0
// Whether a tile repeats: by shifts, by shifts and half turns, on which lattice, and how
// its edges meet.
//
// Places on an outline are lengths walked along it from its point 0, in mm, in the order
// in which its points are given.
#ifndef TRUEPULL_TILING_H_
#define TRUEPULL_TILING_H_

#include <array>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "truepull/geometry.h"
#include "truepull/result.h"

namespace truepull {

/// Two steps of a lattice, mm.
struct LatticeSteps {
  Point across;
  Point down;
};

/// The same lattice by its two shortest steps (Gauss reduction): |a| <= |b| and
/// 2 |a.b| <= a.a, so the angle between them lies in [60, 120] degrees. Exact for whole
/// numbers whose products stay under 2^53.
LatticeSteps ReduceSteps(LatticeSteps steps);

/// Names and signs for people: `across` is the step nearer to the horizontal and points
/// right, `down` points down, and across x down > 0.
LatticeSteps OrientSteps(LatticeSteps steps);

/// What carries a stretch of the outline onto the one it meets.
enum class EdgeMove { kShift, kHalfTurn, kTurn, kGlide };

/// Two stretches of the outline that meet across a seam. Of a half turn about its own
/// middle a stretch is its own partner.
struct Meeting {
  double from_mm = 0, to_mm = 0;                  // A stretch; to < from: past point 0.
  double partner_from_mm = 0, partner_to_mm = 0;  // What it meets.
  EdgeMove move = EdgeMove::kShift;
  Point shift;   // kShift: stretch + shift = partner.
  Point centre;  // kHalfTurn: about which the neighbour is turned.
};

/// One way in which the tile repeats.
struct Repeat {
  LatticeSteps steps;             // Reduced and oriented.
  std::vector<Pose> cell{Pose{}}; // Tiles that repeat together: the tile itself, and in a
                                  // repeat by half turns its half-turned partner.
  std::vector<Meeting> meetings;  // In order along the outline.
};

/// Where the plate is too thin or too sharp to cut or to last.
struct WeakPlace {
  enum class Kind { kNeck, kPoint } kind = Kind::kNeck;
  Point at;               // Middle of the neck, or the tip.
  double width_mm = 0;    // Of a neck.
  double angle_rad = 0;   // Of a point.
};

struct TilingOptions {
  // A repeat is exact when its stretches agree to this. Far under what a printer can draw
  // and over what six decimals in a file lose.
  double exact_mm = 1e-4;
  double neck_mm = 4.0;                                  // Scissors and thin plastic.
  double point_rad = 25.0 * 0.017453292519943295;        // Sharper tips bend or break.
};

struct TilingVerdict {
  double area_mm2 = 0;
  double perimeter_mm = 0;
  std::optional<Repeat> shifts;      // By shifts alone.
  std::optional<Repeat> half_turns;  // Conway's criterion: shifts and half turns together.
  int own_turns = 1;        // Ways to lie on itself by turning: 2 = looks alike upside down.
  bool own_mirror = false;  // Its own mirror image: face and back look alike.
  std::vector<WeakPlace> weak_places;
};

/// Refuses what is no outline: fewer than three points, a number that is none, an edge of
/// no length, edges that cross or touch. The sentence names points as people count them,
/// from 1.
Status CheckOutline(std::span<const Point> outline);

/// Says whether and how a tile repeats.
///
/// By shifts alone: D. Beauquier and M. Nivat, "On translating one polyomino to tile the
/// plane", Discrete Comput. Geom. 6 (1991): the outline falls into A B C A' B' C', X' the
/// same stretch walked backward across the tile; one pair may be empty. It holds for any
/// simple polygon, with the splits at corners or anywhere along an edge. The middles of X
/// and X' lie half the outline apart, which leaves O(n) stretches to look at.
///
/// With half turns: Conway's criterion, the outline falls into A B C A' D E, where A and A'
/// are as above and B, C, D, E each look alike after a half turn about their middle; any
/// may be empty, and so may A. Sufficient, not necessary, for repeating by shifts and half
/// turns.
///
/// Of several repeats the one with the shortest steps is given.
/// outline  As it appears on the paper, mm; must pass CheckOutline.
/// Fails as CheckOutline does. Checked against every shape of up to 9 squares
/// (PolyominoTable.EveryShapeGetsThePublishedAnswer).
Result<TilingVerdict> JudgeOutline(std::span<const Point> outline,
                                   const TilingOptions& options = {});

/// Places too thin or too sharp: chords inside the tile shorter than neck_mm that cut off
/// more than a tip, and corners whose inner angle over 2 mm either way is under point_rad.
std::vector<WeakPlace> FindWeakPlaces(std::span<const Point> outline,
                                      const TilingOptions& options = {});

/// The place on an outline (mm from point 0) as a point.
Point PointAlong(std::span<const Point> outline, double along_mm);

}  // namespace truepull

#endif  // TRUEPULL_TILING_H_
