// SPDX-License-Identifier: Apache-2.0
// Traces the sheet's sides to sub-pixel in the full photo.
//
// Across a side the light is: paper, falling over a blur to the table, which may grow
// lighter or darker from there (the sheet's own shadow):
//   y(t) = a - b F((t - t0) / s) + c (t - t0) F((t - t0) / s),  F the normal distribution.
// The slope c is given to the table's side only: a shadow's ramp is no part of the
// paper's step and must not draw t0 outward. Light is linear (sRGB decoded), for the lens
// blurs light and not code values, and is projected onto the line from the table's colour
// to the paper's at that place.
#ifndef TRUEPULL_PHOTO_SIDE_TRACE_H_
#define TRUEPULL_PHOTO_SIDE_TRACE_H_

#include <array>
#include <opencv2/core/mat.hpp>
#include <vector>

#include "photo/side_fit.h"
#include "photo/side_point.h"

namespace truepull {

struct TraceOptions {
  int places = 400;            // To a side.
  double reach_px = 6;         // Looked for within this of the expected side.
  double margin_px = 12;       // Left out at both ends: corners are rounded and worn.
  int lines = 3;               // Neighbouring profiles averaged, 2 px apart.
  std::array<double, 4> blur_px{};  // s of each side; 0: fitted at each place.
  bool dark_sheet = false;     // The sheet is darker than the table.
};

struct TracedSides {
  std::vector<SidePoint> points;
  std::array<int, 4> tried{};     // Places of each side that lie in the photo.
  std::array<int, 4> outside{};   // And those that do not.
  std::array<double, 4> blur_px{};      // Lower third of s.
  std::array<double, 4> contrast{};     // Median step, linear light, 0 to 1.
};

/// `expected` says where the sides are looked for.
TracedSides TraceSides(const cv::Mat& bgr, const SideFit& expected, const TraceOptions& options);

}  // namespace truepull

#endif  // TRUEPULL_PHOTO_SIDE_TRACE_H_
