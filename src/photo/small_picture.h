// SPDX-License-Identifier: Apache-2.0
// A small copy of the photo to search in, and how white (bright and colourless) it is.
#ifndef TRUEPULL_PHOTO_SMALL_PICTURE_H_
#define TRUEPULL_PHOTO_SMALL_PICTURE_H_

#include <opencv2/core/mat.hpp>

#include "truepull/geometry.h"

namespace truepull {

/// The photo averaged over squares of `factor` pixels.
struct SmallPicture {
  cv::Mat lab;        // CV_8UC3, OpenCV's 8-bit Lab (L 0..255, a and b about 128).
  cv::Mat white;      // CV_8UC1: L less a share of the chroma; paper is high.
  int factor = 1;

  /// Pixel centres are at whole numbers in both.
  Point FullFromSmall(Point p) const {
    return {factor * p.x + 0.5 * (factor - 1), factor * p.y + 0.5 * (factor - 1)};
  }
  Point SmallFromFull(Point p) const {
    return {(p.x - 0.5 * (factor - 1)) / factor, (p.y - 0.5 * (factor - 1)) / factor};
  }
};

/// Whole-number reduction (a fast path of cv::resize) to about `longer_px`.
SmallPicture MakeSmallPicture(const cv::Mat& bgr, int longer_px);

/// Halves an 8-bit plane by averaging.
cv::Mat Halve(const cv::Mat& plane);

}  // namespace truepull

#endif  // TRUEPULL_PHOTO_SMALL_PICTURE_H_
