// SPDX-License-Identifier: Apache-2.0
// The line on which a picture's value is zero, between the pixels.
#ifndef TRUEPULL_SRC_DETECT_MARCHING_H_
#define TRUEPULL_SRC_DETECT_MARCHING_H_

#include <opencv2/core/mat.hpp>

#include "truepull/geometry.h"

namespace truepull::detect {

/// Walks round the outside of the region of values > 0 (CV_32FC1) that holds the pixel
/// `inside`, from the region's topmost pixel, and gives the places where the value, linear
/// between neighbouring pixels, is zero (W. E. Lorensen and H. E. Cline, "Marching cubes",
/// SIGGRAPH 1987, in the plane). Pixels that touch only by a corner are not joined. The
/// picture's rim counts as outside. Clockwise as seen; px, pixel centres at whole numbers.
Outline ZeroLine(const cv::Mat& value, cv::Point inside);

}  // namespace truepull::detect

#endif  // TRUEPULL_SRC_DETECT_MARCHING_H_
