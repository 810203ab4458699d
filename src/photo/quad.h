// SPDX-License-Identifier: Apache-2.0
// Four-sided candidates for the sheet, and what speaks for each.
#ifndef TRUEPULL_PHOTO_QUAD_H_
#define TRUEPULL_PHOTO_QUAD_H_

#include <array>
#include <opencv2/core/mat.hpp>
#include <vector>

#include "photo/small_picture.h"
#include "truepull/geometry.h"

namespace truepull {

/// Corners clockwise as seen; side i runs from corner i to corner i + 1.
using Quad = std::array<Point, 4>;

/// The corner after i, and before i, round the quad.
inline std::size_t Next(std::size_t i) { return (i + 1) % 4; }
inline std::size_t Before(std::size_t i) { return (i + 3) % 4; }

/// Where the lines a-b and c-d meet; false when they are as good as parallel.
bool MeetingPoint(Point a, Point b, Point c, Point d, Point* at);

inline Point Middle(const Quad& quad) { return 0.25 * (quad[0] + quad[1] + quad[2] + quad[3]); }
double QuadArea(const Quad& quad);
bool IsConvex(const Quad& quad);  // And clockwise.

/// Candidates from regions lighter than a sweep of levels: the hull of each region is
/// stripped of its least edges until four are left, so that a turned-down corner does not
/// count as a side. `plane`: 8-bit, the sheet lighter than the table.
std::vector<Quad> QuadsFromRegions(const cv::Mat& plane);

/// Candidates from straight steps (Hough's transform with the sign of the step): they
/// serve where light falls off across the sheet, so that no one level divides sheet and
/// table. `ratio`: longer over shorter side of the sheet.
std::vector<Quad> QuadsFromLines(const cv::Mat& plane, double ratio);

}  // namespace truepull

#endif  // TRUEPULL_PHOTO_QUAD_H_
