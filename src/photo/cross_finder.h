// SPDX-License-Identifier: Apache-2.0
// Finds one of the margin's crosses near the place where it should be.
#ifndef TRUEPULL_SRC_PHOTO_CROSS_FINDER_H_
#define TRUEPULL_SRC_PHOTO_CROSS_FINDER_H_

#include <opencv2/core/mat.hpp>
#include <vector>

#include "truepull/camera.h"

namespace truepull {

// How far from its planned place a mark is looked for: torn and trimmed sides are off by a few mm,
// and a mark is 6 mm from them.
inline constexpr double kCrossSearchMm = 7;

struct FoundCross {
  Point photo_px;          // Where the strokes' middles cross.
  Point rough_mm;          // The same by the camera that it was looked for with.
  double sd_px = 0;        // Each way, of the strokes' own scatter.
  double contrast = 0;     // How much darker the weakest of the four arms is than the paper, share.
  double ring = 0;         // Darkness of a ring round it over that of the arms.
};

/// Looks for a cross with four arms of kMarginMarkArmMm, darker than the paper on both sides of every
/// arm, which must be as light as paper, and ended beyond them (so that long pencil lines and the sheet's edge are none), turned by up to
/// 7 degrees; then fits a line to the middle of each stroke, measured in the photo across it.
///
/// grey     The whole photo, CV_8UC1.
/// rough    Good to a few mm and a few degrees.
/// Accuracy: 0.02 mm on rendered photos of 8 px to the mm (MarginFrame.* in tests/photo).
///
/// Gives the best, and another that is nearly as good if there is one; nothing where none is.
std::vector<FoundCross> FindCrosses(const cv::Mat& grey, const SheetCamera& rough, Point planned_mm);

}  // namespace truepull

#endif  // TRUEPULL_SRC_PHOTO_CROSS_FINDER_H_
