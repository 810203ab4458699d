// SPDX-License-Identifier: Apache-2.0
// Outlines round the parts of a grid, few points and no gaps between neighbours.
#ifndef TRUEPULL_SRC_DETECT_REGION_OUTLINES_H_
#define TRUEPULL_SRC_DETECT_REGION_OUTLINES_H_

#include <opencv2/core/mat.hpp>
#include <vector>

#include "detect/tile_light.h"

namespace truepull::detect {

/// Every line on which a field (CV_32FC1, > 0 inside) is zero: round each part, and round
/// each hole in one. Tile frame, mm, thinned to `tolerance_mm`; those that enclose less than
/// `least_mm2` are left out.
std::vector<Outline> LoopsOf(const cv::Mat& field, const TileGrid& grid, double tolerance_mm, double least_mm2);

/// For each label how far a square belongs to it rather than to any of the others: > 0 where it
/// does, smoothed so that a line between two labels is one line seen from either. Squares of
/// 255 belong to none.
std::vector<cv::Mat> FieldsOf(const cv::Mat& labels, int count, const TileGrid& grid);

/// Gives the parts of a label that are smaller than `least_mm2` to what surrounds them.
void DropSmallParts(cv::Mat& labels, int count, const TileGrid& grid, double least_mm2);

/// What most of the 5 x 5 squares around have; squares of 255 stay and do not count.
cv::Mat MostAround(const cv::Mat& labels, int count);

}  // namespace truepull::detect

#endif  // TRUEPULL_SRC_DETECT_REGION_OUTLINES_H_
