// SPDX-License-Identifier: Apache-2.0
// The drawing that all pulls of a plate have in common, told from strokes and bare specks.
//
// In one pull a scratched line looks like a stroke that ran out of wax. Strokes fall where
// they will; the drawing is in the same place of the tile every time.
#ifndef TRUEPULL_SRC_DETECT_COMMON_DRAWING_H_
#define TRUEPULL_SRC_DETECT_COMMON_DRAWING_H_

#include <opencv2/core/mat.hpp>
#include <span>
#include <vector>

#include "detect/tile_light.h"

namespace truepull::detect {

/// Where a pull departs from the colour of its own region: CV_8S, -1 much thinner, 1 much
/// denser, 0 alike, 2 not seen. `mean`: density of each label's colour.
cv::Mat DeparturesOf(const TileLight& pull, const cv::Mat& labels, std::span<const float> mean);

struct CommonDrawing {
  cv::Mat field;                    // CV_32FC1, > 0 where it is drawn; empty: no drawing.
  cv::Mat beside;                   // CV_8U, not 0 within 2 mm of it, and not on its border.
  std::vector<Outline> outlines;    // Tile frame, mm.
};

/// With fewer than five pulls nothing is in common: no drawing.
CommonDrawing FindCommonDrawing(const TileGrid& grid, std::span<const cv::Mat* const> departures);

}  // namespace truepull::detect

#endif  // TRUEPULL_SRC_DETECT_COMMON_DRAWING_H_
