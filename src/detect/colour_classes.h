// SPDX-License-Identifier: Apache-2.0
// The colours of one pull: which there are, and which each square has.
//
// One ink laid thinner or thicker, or broken by the paper's tooth, is one colour: its density
// (-ln of light by primary) keeps its direction and only changes its length.
#ifndef TRUEPULL_SRC_DETECT_COLOUR_CLASSES_H_
#define TRUEPULL_SRC_DETECT_COLOUR_CLASSES_H_

#include <opencv2/core/mat.hpp>
#include <vector>

#include "detect/tile_light.h"
#include "truepull/colour.h"

namespace truepull::detect {

struct ColourClass {
  cv::Vec3f light;       // Mean; blue, green, red, shares of paper white.
  double share = 0;      // Of the squares looked at.
  bool bare = false;     // Paper: thinner than a quarter of a full pull.
};

struct ColourClasses {
  std::vector<ColourClass> classes;   // Largest inked one first.
  cv::Mat label;                      // CV_8U: index of its class; 255 where not looked at.
  cv::Mat mixed;                      // CV_8U: 1 where light of two inks, or of paper outside, mixes.
};

/// `full_density`: mean density of a full pull of this colour where it covers well.
ColourClasses FindColours(const TileGrid& grid, const TileLight& pull, double full_density);

Lab LabOfLight(const cv::Vec3f& light);

}  // namespace truepull::detect

#endif  // TRUEPULL_SRC_DETECT_COLOUR_CLASSES_H_
