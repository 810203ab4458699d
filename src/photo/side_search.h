// SPDX-License-Identifier: Apache-2.0
// Follows a candidate's four sides in the small picture.
#ifndef TRUEPULL_PHOTO_SIDE_SEARCH_H_
#define TRUEPULL_PHOTO_SIDE_SEARCH_H_

#include <array>
#include <vector>

#include "photo/quad.h"
#include "photo/side_point.h"
#include "photo/small_picture.h"

namespace truepull {

/// What was seen of one side.
struct SeenSide {
  double support = 0;    // Share of its length with the step of a sheet's edge on one curve.
  double outside = 0;    // Share of its length that lies outside the picture or on its rim.
  double contrast = 0;   // Median step, 8-bit Lab levels.
  double papery = 0;     // Share of those places with the sheet's own colour within the edge.
  double outshone = 0;   // Share of it with something lighter than the sheet just beyond.
  double bow = 0;        // Its middle's distance outward from the chord, px.
  std::array<Point, 2> chord{};  // Its ends by what was seen, px of the small picture.
  double unrest = 0;     // Share of it that a pattern runs across, as on a checked cloth.
};

struct SeenSheet {
  Quad quad{};                    // Corners by the sides' chords, px of the small picture.
  std::array<SeenSide, 4> sides;
  std::vector<SidePoint> points;  // The steps that lie on the sides, px of the small picture.
  double chroma_spread = 0;       // How unlike in colour the paper beside the sides is, levels.
  double chroma = 0;              // And its own median colour's distance from grey, levels.

  double MeanSupport() const;
  double LeastSupport() const;
  double Outshone() const;  // Mean over the sides.
  double MostUnrest() const;
};

struct SideSearchOptions {
  double reach_px = 6;      // Either side of the candidate's.
  double on_curve_px = 1.2; // What still counts as on the side; torn edges stray further.
  bool dark_sheet = false;  // The sheet is darker than the table.
  int places = 64;          // To a side.
  int trials = 80;          // Random curves tried for a side.
  std::array<double, 4> bow_px{};  // Expected of each side ...
  double touching = 0;      // ... and the share of it by which its ends lie inside the candidate.
};

/// Looks for the sides near a candidate's.
SeenSheet SearchSides(const SmallPicture& small, const Quad& quad, const SideSearchOptions& options);

}  // namespace truepull

#endif  // TRUEPULL_PHOTO_SIDE_SEARCH_H_
