// SPDX-License-Identifier: Apache-2.0
// One pull's light on a grid of its tile's frame, so that pulls of one plate lie on another.
#ifndef TRUEPULL_SRC_DETECT_TILE_LIGHT_H_
#define TRUEPULL_SRC_DETECT_TILE_LIGHT_H_

#include <opencv2/core/mat.hpp>

#include "detect/edge_fit.h"
#include "detect/paper_light.h"
#include "detect/plate_shape.h"

namespace truepull::detect {

/// Squares over a tile's box with two to spare all round; their centres in the tile frame.
struct TileGrid {
  double step_mm = 0.5;
  Point corner;              // Centre of square (0, 0).
  int columns = 0, rows = 0;
  cv::Mat depth;             // CV_32FC1: mm inside the outline, below 0 outside.
  Point At(double i, double j) const { return corner + Point{step_mm * i, step_mm * j}; }
};
TileGrid GridOf(const PlateShape& shape, double step_mm);

/// A pull's light there.
struct TileLight {
  cv::Mat light;     // CV_32FC3, blue, green, red; shares of paper white, 0.004 to 1.1.
  cv::Mat smooth;    // The same, mean of 3 x 3 squares inside the outline.
  cv::Mat use;       // CV_8U: 1 inside the outline and on the sheet, 2 where a neighbour's
                     // outline lies over it too, else 0.
};
TileLight LightOf(const TileGrid& grid, const SheetMap& map, const std::vector<Pull>& pulls, std::size_t which);

/// Mean density of the three primaries.
float DensityOf(const cv::Vec3f& light);

}  // namespace truepull::detect

#endif  // TRUEPULL_SRC_DETECT_TILE_LIGHT_H_
